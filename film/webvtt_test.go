package film

import (
	"encoding/json"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// payload is what a cue's text may hold.
type payload int

const (
	captionText payload = iota // WebVTT caption or subtitle cue text, 4.2.2
	titleText                  // WebVTT chapter title text, 4.2.3: one line, no tags
	dataText                   // WebVTT metadata text, 4.2.1
)

var (
	vttTimes = regexp.MustCompile(`^((?:[0-9]{2,}:)?[0-5][0-9]:[0-5][0-9]\.[0-9]{3})[ \t]+-->[ \t]+((?:[0-9]{2,}:)?[0-5][0-9]:[0-5][0-9]\.[0-9]{3})$`)
	vttRef   = regexp.MustCompile(`^&(amp|lt|gt|lrm|rlm|nbsp);`)
)

// strictVTT reads a file by the syntax of W3C WebVTT, Candidate Recommendation
// 4 April 2019, section 4, and fails where a file does not conform: it forgives
// nothing that a browser forgives. Beyond the standard it asks for what the writer
// promises: no byte order mark, no header text, hours always, LF, no identifiers,
// settings or tags, one blank line between cues and none at the end.
func strictVTT(file string, kind payload) ([]Cue, error) {
	if !utf8.ValidString(file) || strings.ContainsAny(file, "\x00\r") || strings.HasPrefix(file, "\ufeff") {
		return nil, fmt.Errorf("no UTF-8 with LF and without byte order mark and NUL")
	}
	if file == "WEBVTT\n\n" {
		return nil, nil
	}
	body, ok := strings.CutPrefix(file, "WEBVTT\n\n")
	body, ends := strings.CutSuffix(body, "\n")
	if !ok || !ends {
		return nil, fmt.Errorf("no signature with two line ends, or no line end at the end")
	}
	var cues []Cue
	for block := range strings.SplitSeq(body, "\n\n") {
		times, text, ok := strings.Cut(block, "\n")
		m := vttTimes.FindStringSubmatch(times)
		if !ok || m == nil || text == "" || strings.HasPrefix(text, "\n") || strings.HasSuffix(text, "\n") {
			return nil, fmt.Errorf("no timings, no text or a line too many: %q", block)
		}
		c := Cue{Start: vttTime(m[1]), End: vttTime(m[2])}
		if c.End <= c.Start || len(cues) > 0 && c.Start < cues[len(cues)-1].Start || len(m[1]) < 12 || len(m[2]) < 12 {
			return nil, fmt.Errorf("times out of order or without hours: %q", times)
		}
		if kind == captionText && len(cues) > 0 && c.Start < cues[len(cues)-1].End {
			return nil, fmt.Errorf("captions overlap: %q", times)
		}
		for line := range strings.SplitSeq(text, "\n") {
			line, err := strictText(line, kind)
			if err != nil {
				return nil, err
			}
			c.Lines = append(c.Lines, line)
		}
		if kind == titleText && len(c.Lines) > 1 {
			return nil, fmt.Errorf("a title of several lines: %q", text)
		}
		cues = append(cues, c)
	}
	return cues, nil
}

func vttTime(s string) time.Duration {
	var ms int64
	for _, f := range strings.FieldsFunc(s, func(r rune) bool { return r == ':' }) {
		n, _ := strconv.ParseFloat(f, 64)
		ms = 60*ms + int64(n*1000+0.5)
	}
	return time.Duration(ms) * time.Millisecond
}

// strictText reads one line of a payload.
func strictText(line string, kind payload) (string, error) {
	if line == "" || strings.Contains(line, "-->") {
		return "", fmt.Errorf("an empty line or an arrow in a text: %q", line)
	}
	if kind == dataText {
		return line, nil
	}
	var b strings.Builder
	for at := 0; at < len(line); {
		switch {
		case line[at] == '<':
			return "", fmt.Errorf("a tag: %q", line)
		case line[at] == '&':
			m := vttRef.FindStringSubmatch(line[at:])
			if m == nil {
				return "", fmt.Errorf("an & that begins no reference: %q", line)
			}
			b.WriteString(map[string]string{"amp": "&", "lt": "<", "gt": ">"}[m[1]])
			at += len(m[0])
		default:
			b.WriteByte(line[at])
			at++
		}
	}
	return b.String(), nil
}

// The reader itself refuses what the standard refuses.
func TestStrictReaderRefuses(t *testing.T) {
	good := "WEBVTT\n\n00:00:01.000 --> 00:00:02.000\na &amp; b\n"
	if cues, err := strictVTT(good, captionText); err != nil || cues[0].Lines[0] != "a & b" {
		t.Fatal(cues, err)
	}
	for _, c := range [][2]string{
		{"WEBVTT", "\ufeffWEBVTT"}, {"WEBVTT", "WEBVTT x"}, {"WEBVTT\n\n", "WEBVTT\n"}, {"b\n", "b"}, {"b\n", "b\n\n"}, {"&amp;", "&"}, {"&amp;", "<b>"}, {"&amp;", "-->"},
		{"02.000", "01.000"}, {"02.000", "02,000"}, {"02.000", "02.00"}, {"00:00:02", "00:60:02"}, {" --> ", "-->"}, {"00:00:01.000", "1.000"}, {"\n", "\r\n"}, {"a &amp; b", ""},
	} {
		bad := strings.Replace(good, c[0], c[1], 1)
		if _, err := strictVTT(bad, captionText); err == nil {
			t.Errorf("%q was read", bad)
		}
	}
}

// hostile draws names as a joker writes them.
func hostile(t *rapid.T) string {
	return rapid.OneOf(
		rapid.SampledFrom([]string{"a & b", "<b>bold</b>", "-->", "</c>", "&amp;", "&lt;", `{\an8}up`, "two\nlines", "\r\n\r\n", "\x00nul", "\ufefftop", "1", "WEBVTT", "NOTE x", "00:00 --> 00:01", "<v Rue>", "ünï\u2028 \u0085code", "\xff", "", "  ", "\u202e rtl", "<00:00:01.000>", "Fern"}),
		rapid.String(),
	).Draw(t, "name")
}

// Whatever a burner is called, every file conforms and the name arrives.
func TestHostileNamesInEveryFile(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, filmed := boiled()
		name := hostile(t)
		filmed.Burns[0].Entry, f.Title, f.Clips[0].Name = name, hostile(t), hostile(t)
		f.Clips[0].File = hostile(t)
		p, fs := Make(f, filmed)
		if p == nil {
			t.Fatal(fs)
		}
		for _, c := range []struct {
			file string
			kind payload
			want []Cue
		}{{WebVTT(p.Captions), captionText, p.Captions}, {WebVTT(p.Chapters), titleText, p.Chapters}, {WebVTTData(p.Clock), dataText, p.Clock}} {
			got, err := strictVTT(c.file, c.kind)
			if err != nil {
				t.Fatalf("%v\n%s", err, c.file)
			}
			if d := cmp.Diff(c.want, got); d != "" {
				t.Fatalf("%s\n%s", d, c.file)
			}
		}
		who := plain(name)
		if who == "" {
			who = "burn 7"
		}
		if got := strings.Join(p.Captions[0].Lines, " "); got != who+": light" {
			t.Fatalf("%q became %q", name, got)
		}
		var said reading
		if err := json.Unmarshal([]byte(p.Clock[0].Lines[0]), &said); err != nil || said.Entry != strings.ToValidUTF8(name, "\ufffd") {
			t.Fatalf("%q is %q in the clock's track: %v", name, said.Entry, err)
		}
		srt := SRT(p.Captions)
		if strings.ContainsAny(srt, "<{}\r\x00") || strings.Count(srt, "-->") != len(p.Captions) {
			t.Fatalf("markup in %s", srt)
		}
		if list := ChapterList(p.Chapters); strings.ContainsAny(list, "<>\r") || strings.Count(list, "\n") != len(p.Chapters) {
			t.Fatalf("markup or lines in %q", list)
		}
		if !json.Valid(p.Interchange) {
			t.Fatalf("no JSON: %s", p.Interchange)
		}
	})
}

func TestFilesByHand(t *testing.T) {
	cues := []Cue{{0, 2 * time.Second, []string{"A & B: light"}}, {time.Hour + 62*time.Second + 5*time.Millisecond, 2 * time.Hour, []string{"<A>: boil", "7:12 from light"}}}
	want := "WEBVTT\n\n00:00:00.000 --> 00:00:02.000\nA &amp; B: light\n\n01:01:02.005 --> 02:00:00.000\n&lt;A&gt;: boil\n7:12 from light\n"
	if d := cmp.Diff(want, WebVTT(cues)); d != "" {
		t.Error(d)
	}
	want = "1\n00:00:00,000 --> 00:00:02,000\nA & B: light\n\n2\n01:01:02,005 --> 02:00:00,000\n‹A›: boil\n7:12 from light\n"
	if d := cmp.Diff(want, SRT(cues)); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff("0:00 A & B: light\n1:01:02 ‹A›: boil 7:12 from light\n", ChapterList(cues)); d != "" {
		t.Error(d)
	}
	if WebVTT(nil) != "WEBVTT\n\n" || SRT(nil) != "" {
		t.Error("files without cues")
	}
}
