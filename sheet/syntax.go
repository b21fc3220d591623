package sheet

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"sort"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2/unstable"
)

// mostFaults is how many lines that are no TOML are reported before the file
// is taken for something else.
const mostFaults = 25

// syntax turns the text of a sheet into nodes. A line that is no TOML is
// reported and passed over, so that one slip does not hide the others.
type syntax struct {
	*reader
	lines
	root   *node
	here   *node  // the table that keys now belong to
	path   string // of here
	faults int
	read   int // expressions understood
}

// parse reads all of the data.
func (s *syntax) parse() *node {
	s.root = &node{kind: table, at: spot{1, 1}}
	s.here = s.root
	for from := 0; from < len(s.data) && s.faults <= mostFaults; {
		from = s.run(from)
	}
	return s.root
}

// run reads from a byte up to the first line that cannot be read and returns
// where to go on.
func (s *syntax) run(from int) int {
	var p unstable.Parser
	p.Reset(s.data[from:])
	done := from
	for p.NextExpression() {
		done = s.expression(p.Expression(), from, done)
		s.read++
	}
	if p.Error() == nil {
		return len(s.data)
	}
	at := done
	var pe *unstable.ParserError
	if errors.As(p.Error(), &pe) && len(pe.Highlight) > 0 {
		at = from + int(p.Range(pe.Highlight).Offset)
	}
	return s.pass(s.start(done, at), min(at, len(s.data)-1), p.Error().Error())
}

// start returns where the expression at fault begins: after blank lines and
// comments that follow the last one understood.
func (s *syntax) start(done, at int) int {
	for {
		stop := s.end(done)
		line := strings.TrimLeft(string(s.data[done:stop]), " \t\r")
		if line != "" && line[0] != '#' || stop >= at {
			return stop - len(line)
		}
		done = stop + 1
	}
}

// pass reports the expression that begins at start and fails at at, and
// returns the first byte after what must be left out.
func (s *syntax) pass(start, at int, why string) int {
	s.faults++
	odd, _ := utf8.DecodeRune(s.data[at:])
	why = plainWords(why, odd)
	line := strings.TrimRight(string(s.data[start:s.end(start)]), " \t\r")
	if strings.HasPrefix(line, "[") {
		s.say("not_toml", s.at(at), s.path, fmt.Sprintf("read %.60q, which is no header of a section: %s", line, why),
			"write [name] or [[name]] on a line of its own; everything up to the next header was left out")
		return s.nextHeader(s.end(start) + 1)
	}
	if m := keyBefore.FindStringSubmatch(line); m != nil {
		s.here.lost = append(s.here.lost, m[1])
	}
	after := s.end(at)
	if after >= len(s.data)-1 && s.end(start) < after {
		at, after = start, s.end(start) // something was never closed: only its first line is given up
	}
	s.say("not_toml", s.at(at), s.path, fmt.Sprintf("read %.60q, which is not a key with one value: %s", line, why), remedy(line))
	return after + 1
}

var keyBefore = regexp.MustCompile(`^([\w-]+)\s*[=:]`)

// nextHeader finds the first line from a byte on that begins with a bracket.
func (s *syntax) nextHeader(from int) int {
	for from < len(s.data) {
		if strings.HasPrefix(strings.TrimLeft(string(s.data[from:s.end(from)]), " \t"), "[") {
			return from
		}
		from = s.end(from) + 1
	}
	return from
}

// plainWords puts the parser's reason in words without code points; odd is the
// character it stopped at.
func plainWords(why string, odd rune) string {
	if strings.HasSuffix(why, "at start of value") && strings.ContainsRune("\r\n#", odd) {
		return "no value follows ="
	}
	why = strings.ReplaceAll(why, "newline", "the end of the line")
	return codePoint.ReplaceAllString(why, strconv.QuoteRune(odd))
}

var codePoint = regexp.MustCompile(`(?:character )?U\+[0-9A-F]{4,6}(?: '.+')?`)

// slips are the usual ones, tried in order: what the line looks like and what to write.
var slips = []struct {
	line   *regexp.Regexp
	remedy string
}{
	{regexp.MustCompile(`^([\w.-]+)\s*=\s*[“”„‟‘’«»](.*?)[“”„‟‘’«»]?\s*(#.*)?$`), `write straight quotes: $1 = "$2"`},
	{regexp.MustCompile(`^([\w.-]+)\s*=\s*"?([+-]?\d+),(\d+)\s*$`), `use a decimal point, and quotes round the quantity with its unit: $1 = "$2.$3 …"`},
	{regexp.MustCompile(`^([\w.-]+)\s*=\s*([+-]?\d+),(\d+)\s*([^"'#]*?)\s*(#.*)?$`), `use a decimal point and quotes: $1 = "$2.$3 $4"`},
	{regexp.MustCompile(`^([\w.-]+)\s*=\s*(#.*)?$`), `write a value after =, or leave $1 out: missing is not zero`},
	{regexp.MustCompile(`^([\w.-]+)\s*=\s*([^"'\[{#]*[^"'\[{#\s])\s*(#.*)?$`), `put it in quotes: $1 = "$2"`},
	{regexp.MustCompile(`^([\w.-]+)\s*=\s*(["'])`), `close the quotes on the same line, and write " inside a text as \", or put the text in single quotes`},
	{regexp.MustCompile(`^[\w.-]*[^\x00-\x7f][^=]*=`), `write keys with the letters a to z; others only stand in quotes`},
	{regexp.MustCompile(`^([\w.-]+)\s*:\s*`), `write = between the key and its value`},
	{regexp.MustCompile(`^([\w.-]+)\s*=\s*[\[{]`), `check that every bracket is closed and that commas stand between the values`},
}

func remedy(line string) string {
	for _, s := range slips {
		if m := s.line.FindStringSubmatchIndex(line); m != nil {
			return string(s.line.ExpandString(nil, s.remedy, line, m))
		}
	}
	return `write key = "value"`
}

// expression takes one line or value that may run over lines, and returns the
// byte after it.
func (s *syntax) expression(e *unstable.Node, base, done int) int {
	names, at, end := s.key(e, base)
	path := strings.Join(names, ".")
	switch e.Kind {
	case unstable.Table:
		s.here, s.path = s.open(names, at, false), path
	case unstable.ArrayTable:
		s.here, s.path = s.open(names, at, true), path
	case unstable.KeyValue:
		v := s.value(e.Value(), at, base)
		s.put(s.here, names, at, v)
		return base + int(e.Raw.Offset+e.Raw.Length)
	}
	return max(done, s.end(end))
}

// key returns the parts of a key, the place of its first and the byte after its last.
func (s *syntax) key(e *unstable.Node, base int) (names []string, at spot, end int) {
	it := e.Key()
	for it.Next() {
		n := it.Node()
		if len(names) == 0 {
			at = s.at(base + int(n.Raw.Offset))
		}
		names = append(names, string(n.Data))
		end = base + int(n.Raw.Offset+n.Raw.Length)
	}
	return names, at, end
}

// value turns a value into a node; a list, which has no place of its own,
// stands at the given one.
func (s *syntax) value(e *unstable.Node, at spot, base int) *node {
	n := &node{at: at, text: string(e.Data)}
	if e.Raw.Length > 0 {
		n.at = s.at(base + int(e.Raw.Offset))
	}
	switch e.Kind {
	case unstable.String:
		raw := s.data[base+int(e.Raw.Offset) : base+int(e.Raw.Offset+e.Raw.Length)]
		n.exact = len(raw) == len(n.text)+2 && string(raw[1:len(raw)-1]) == n.text
	case unstable.Integer:
		n.kind = whole
	case unstable.Float:
		n.kind = number
	case unstable.Bool:
		n.kind = truth
	case unstable.LocalTime:
		n.kind = dayTime
	case unstable.LocalDate, unstable.LocalDateTime, unstable.DateTime:
		n.kind = date
	case unstable.Array:
		n.kind, n.closed = list, true
		for it := e.Children(); it.Next(); {
			n.items = append(n.items, s.value(it.Node(), at, base))
		}
	case unstable.InlineTable:
		n.kind = table
		for it := e.Children(); it.Next(); {
			names, keyAt, _ := s.key(it.Node(), base)
			v := s.value(it.Node().Value(), keyAt, base)
			s.put(n, names, keyAt, v)
		}
		n.closed = true
	}
	return n
}

// put places a value under a key with dots; a key that is there already keeps
// its first value.
func (s *syntax) put(in *node, names []string, at spot, v *node) {
	for i, name := range names {
		f := in.find(name)
		last := i == len(names)-1
		switch {
		case f == nil && last:
			in.add(name, at, v)
			return
		case f == nil:
			f = in.add(name, at, &node{kind: table, at: at})
		case last || f.value.kind != table || f.value.closed:
			s.twice(f, at, strings.Join(names[:i+1], "."))
			return
		}
		in = f.value
	}
}

func (s *syntax) twice(f *field, at spot, path string) {
	was := f.value.kind.label()
	if f.value.text != "" {
		was = fmt.Sprintf("%.40q", f.value.text)
	}
	s.say("key_twice", at, strings.TrimPrefix(s.path+"."+path, "."), fmt.Sprintf("%s was given before on line %d, as %s", path, f.at.line, was), "keep one of them; the first was read")
}

// open finds or makes the table that a header names. Sections that come many
// times are lists even when written with single brackets; the readers say so.
func (s *syntax) open(names []string, at spot, many bool) *node {
	in := s.root
	for i, name := range names {
		last := i == len(names)-1
		f := in.find(name)
		if f == nil {
			f = in.add(name, at, &node{kind: table, at: at})
			if last && (many || i == 0 && comesOften(name)) {
				f.value = &node{kind: list, at: at}
			}
		}
		next := f.value
		switch {
		case next.closed || next.kind != table && next.kind != list:
			s.path = ""
			s.twice(f, at, strings.Join(names[:i+1], "."))
			return &node{kind: table, at: at}
		case next.kind == list && last:
			next.items = append(next.items, &node{kind: table, at: at, single: !many})
			next = next.items[len(next.items)-1]
		case next.kind == list:
			next = next.items[len(next.items)-1]
		case last && next.at != at:
			s.say("section_twice", at, strings.Join(names, "."), fmt.Sprintf("[%s] was opened before on line %d", name, next.at.line), "put its keys together; all of them were read")
		}
		in = next
	}
	return in
}

// kind is what stands behind a key.
type kind int

const (
	text    kind = iota // in quotes
	whole               // a number without a point
	number              // a number with a point, nan or inf
	truth               // true or false
	dayTime             // a bare time of day: 14:03:20
	date                // a bare date, or date and time
	list
	table
)

// label is the kind in the words of a person.
func (k kind) label() string {
	return [...]string{"text", "a number", "a number", "true or false", "a bare time", "a bare date", "a list", "a table"}[k]
}

// spot is a place in a file, both counted from 1.
type spot struct{ line, column int }

// node is a value with its place. A sheet, a row of a table and a row of a
// workbook all become nodes before anything is understood.
type node struct {
	kind   kind
	text   string // what was written, decoded if it stood in quotes
	exact  bool   // the characters of text stand in the file one after the other from at
	at     spot
	fields []*field // of a table, in the order of the file
	items  []*node  // of a list
	closed bool     // written in one go, {…} or […]: nothing can be added later
	lost   []string // keys of a table whose lines are no TOML
	single bool     // a section that stands under [x] and not under [[x]]
}

// field is one key of a table.
type field struct {
	name  string
	at    spot
	value *node
}

func (n *node) find(name string) *field {
	i := slices.IndexFunc(n.fields, func(f *field) bool { return f.name == name })
	if i < 0 {
		return nil
	}
	return n.fields[i]
}

// textOf returns what stands behind a key, and "" where it is missing or no scalar.
func (n *node) textOf(name string) string {
	if f := n.find(name); f != nil {
		return f.value.text
	}
	return ""
}

func (n *node) add(name string, at spot, value *node) *field {
	f := &field{name: name, at: at, value: value}
	n.fields = append(n.fields, f)
	return f
}

// lines finds the place of a byte.
type lines struct {
	data   []byte
	starts []int
}

func newLines(data []byte) lines {
	l := lines{data: data, starts: []int{0}}
	for i, b := range data {
		if b == '\n' {
			l.starts = append(l.starts, i+1)
		}
	}
	return l
}

// at returns the line and the column, in characters, of a byte.
func (l lines) at(offset int) spot {
	i := sort.SearchInts(l.starts, offset+1) - 1
	return spot{line: i + 1, column: utf8.RuneCount(l.data[l.starts[i]:offset]) + 1}
}

// end returns where the line of a byte ends: at its newline, or at the end of the file.
func (l lines) end(offset int) int {
	i := sort.SearchInts(l.starts, offset+1)
	if i == len(l.starts) {
		return len(l.data)
	}
	return l.starts[i] - 1
}
