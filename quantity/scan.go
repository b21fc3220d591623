package quantity

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"
)

// ParseError tells a person what could not be read and what to write instead.
type ParseError struct {
	Text   string // what was read, whole
	Want   string // what was expected: "a mass in g, kg, mg, oz or lb"
	Hint   string // what to do
	Column int    // where it went wrong, in characters from 1
}

// Error says what was read, where it went wrong, what was expected, what to do.
func (e *ParseError) Error() string {
	return fmt.Sprintf("read %.80q, column %d: expected %s; %s", e.Text, e.Column, e.Want, e.Hint)
}

// number is a number as written, in the unit beside it.
type number struct {
	value  float64
	step   float64 // place value of the last digit
	plain  string  // for hints: "12.5", "1 3/4"
	signed bool
	whole  bool // neither point, exponent nor fraction
	column int
}

// part is a number with the unit written after it, "" when there is none.
type part struct {
	number
	unit       string
	unitColumn int
}

// writing is what was written: parts, and the half-width after a plus-minus.
type writing struct {
	text      string
	parts     []part
	tolerance *part
}

// plainer maps what word processors write to what keyboards write, one
// character for one, so that columns stay true.
var plainer = strings.NewReplacer(
	"\u00a0", " ", "\u2007", " ", "\u2008", " ", "\u2009", " ", "\u200a", " ", "\u202f", " ", "\t", " ",
	"\u2212", "-", "\u2010", "-", "\u2011", "-", "\u2013", "-",
	"\u2044", "/", "\u2215", "/", "º", "°", "″", `"`, "”", `"`, "′", "'", "’", "'",
)

const (
	vulgar = "½¼¾⅓⅔⅛⅜⅝⅞"
	count  = `[0-9]+`
)

var vulgarFractions = map[string][2]string{
	"½": {"1", "2"}, "¼": {"1", "4"}, "¾": {"3", "4"}, "⅓": {"1", "3"}, "⅔": {"2", "3"},
	"⅛": {"1", "8"}, "⅜": {"3", "8"}, "⅝": {"5", "8"}, "⅞": {"7", "8"},
}

var (
	spaces     = regexp.MustCompile(`^ *`)
	plusMinus  = regexp.MustCompile(`^ *(?:±|\+ ?/ ?-|\+-)`)
	signText   = regexp.MustCompile(`^[+-] *`)
	commaRun   = regexp.MustCompile(`^[0-9.]*,[0-9.,]*`)
	numberText = regexp.MustCompile(`^(?:` +
		`(?:(` + count + `)(?: *- *| +))?(` + count + `) ?/ ?(` + count + `)` + // 1, 2, 3: 1 3/4
		`|(?:(` + count + `)(?: *- *| *))?([` + vulgar + `])` + // 4, 5: 1 ¾
		`|(` + count + `\.?[0-9]*|\.` + count + `)(?:[eE]([+-]?` + count + `))?)`) // 6, 7: 12.5e3
	unitText = regexp.MustCompile(`^(?:[^0-9.+±` + vulgar + `]|\.+(?:[^0-9.+±` + vulgar + `]|$))*`)

	// Commas: 1,234 | 1,234,567.8 | 12,5 or 1.234,5.
	twoReadings  = regexp.MustCompile(`^[1-9][0-9]{0,2},[0-9]{3}$`)
	grouped      = regexp.MustCompile(`^[1-9][0-9]{0,2}(,[0-9]{3})+(\.[0-9]*)?$`)
	decimalComma = regexp.MustCompile(`^([0-9]+|[0-9]{1,3}(\.[0-9]{3})+)?,[0-9]+$`)
)

// scanner walks over one text. A regular expression describes each piece.
type scanner struct {
	text  string
	plain string
	at    int
	want  func() string // asked only when something is wrong
}

func newScanner(text string, want func() string) *scanner {
	return &scanner{text: text, plain: plainer.Replace(text), want: want}
}

func (s *scanner) rest() string { return s.plain[s.at:] }
func (s *scanner) column() int  { return utf8.RuneCountInString(s.plain[:s.at]) + 1 }

func (s *scanner) skip(re *regexp.Regexp) bool {
	m := re.FindString(s.rest())
	s.at += len(m)
	return m != ""
}

func (s *scanner) fail(column int, format string, args ...any) error {
	return &ParseError{Text: s.text, Want: s.want(), Column: column, Hint: fmt.Sprintf(format, args...)}
}

// scan reads numbers and units: "1 lb 3 oz ± 1/2 oz", "25.20 ± 0.31 g".
func scan(text string, want func() string) (writing, error) {
	s := newScanner(text, want)
	w := writing{text: text}
	for {
		p, err := s.part()
		if err != nil {
			return w, err
		}
		w.parts = append(w.parts, p)
		if s.skip(plusMinus) {
			return s.tolerance(w)
		}
		if s.rest() == "" {
			return w, nil
		}
		if p.unit == "" {
			return w, s.fail(s.column(), "two numbers stand without a unit between them: write one number, or a fraction such as 1 3/4")
		}
	}
}

// tolerance reads the half-width after a plus-minus. A unit written once, at
// the end, counts for both numbers.
func (s *scanner) tolerance(w writing) (writing, error) {
	p, err := s.part()
	if err != nil {
		return w, err
	}
	last := &w.parts[len(w.parts)-1]
	switch {
	case s.rest() != "":
		return w, s.fail(s.column(), "nothing may follow the half-width after ±")
	case p.signed || p.value == 0:
		return w, s.fail(p.column, "a half-width after ± is above zero: leave ± out when none is known")
	case last.unit == "":
		last.unit, last.unitColumn = p.unit, p.unitColumn
	}
	w.tolerance = &p
	return w, nil
}

func (s *scanner) part() (part, error) {
	n, err := s.number()
	if err != nil {
		return part{}, err
	}
	s.skip(spaces)
	p := part{number: n, unitColumn: s.column()}
	m := unitText.FindString(s.rest())
	s.at += len(m)
	p.unit = strings.Join(strings.Fields(strings.ReplaceAll(m, ".", " ")), " ")
	return p, nil
}

// number reads a sign, then "12.5", "7/8", "1 3/4", "2-3/8", "1¾" or "1.25e3".
func (s *scanner) number() (number, error) {
	s.skip(spaces)
	n := number{column: s.column()}
	sign := signText.FindString(s.rest())
	s.at += len(sign)
	n.signed = sign != ""
	if run := commaRun.FindString(s.rest()); run != "" {
		return n, s.comma(run, strings.TrimSpace(sign))
	}
	m := numberText.FindStringSubmatch(s.rest())
	switch {
	case m == nil && strings.TrimSpace(s.plain) == "":
		return n, s.fail(1, "nothing was written")
	case m == nil:
		return n, s.fail(n.column, "a number must come first, in digits")
	}
	s.at += len(m[0])
	n.plain = sign + m[0]
	var err error
	switch {
	case strings.HasPrefix(s.rest(), ","):
		err = s.fail(s.column(), "take the comma out")
	case m[6] != "":
		err = s.decimal(&n, m[6], m[7])
	case m[5] != "":
		f := vulgarFractions[m[5]]
		err = s.fraction(&n, m[4], f[0], f[1])
	default:
		err = s.fraction(&n, m[1], m[2], m[3])
	}
	if strings.HasPrefix(sign, "-") && n.value != 0 {
		n.value = -n.value
	}
	return n, err
}

// decimal fills n from "12.50" and a power of ten.
func (s *scanner) decimal(n *number, digits, exponent string) error {
	_, places, point := strings.Cut(digits, ".")
	n.whole = !point && exponent == ""
	if exponent == "" {
		exponent = "0"
	}
	value, err := strconv.ParseFloat(digits+"e"+exponent, 64)
	power, _ := strconv.Atoi(exponent)
	n.value, n.step = value, math.Pow10(power-len(places))
	vanished := value == 0 && strings.ContainsAny(digits, "123456789")
	if err != nil || vanished || n.step == 0 || math.IsInf(n.step, 0) {
		return s.fail(n.column, "the number is too large or too small to be held")
	}
	return nil
}

// fraction fills n from a whole part, which may be missing, and a fraction.
func (s *scanner) fraction(n *number, whole, over, under string) error {
	value := func(digits string) float64 { v, _ := strconv.ParseFloat("0"+digits, 64); return v }
	w, o, u := value(whole), value(over), value(under)
	switch {
	case u == 0:
		return s.fail(n.column, "a fraction cannot be over zero")
	case math.IsInf(w+o+u, 0):
		return s.fail(n.column, "the number is too large to be held")
	case whole != "" && o >= u:
		return s.fail(n.column, "the fraction after a whole number must be less than 1")
	}
	n.value, n.step = w+o/u, 1/u
	return nil
}

// comma refuses a number with a comma and shows what it may have meant.
func (s *scanner) comma(run, sign string) error {
	at := s.column() + utf8.RuneCountInString(run[:strings.IndexByte(run, ',')])
	after := strings.TrimRight(s.rest()[len(run):], " ")
	plain := sign + strings.ReplaceAll(run, ",", "") + after
	i := strings.LastIndexByte(run, ',')
	pointed := sign + strings.NewReplacer(".", "", ",", "").Replace(run[:i]) + "." + run[i+1:] + after
	switch {
	case twoReadings.MatchString(run):
		return s.fail(at, "the comma can be read two ways: write %s or %s", strconv.Quote(pointed), strconv.Quote(plain))
	case grouped.MatchString(run):
		return s.fail(at, "leave commas out: %q", plain)
	case decimalComma.MatchString(run):
		return s.fail(at, "use a decimal point: %q", pointed)
	}
	return s.fail(at, "write one number without commas, with a decimal point")
}
