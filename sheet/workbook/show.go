package workbook

import (
	"math"
	"strconv"
	"strings"
	"time"
)

// lastDay is the serial number of 31 December 9999, the last date there is.
const lastDay = 2_958_465

// show renders a number. start is the day 0 of the book.
func (f format) show(v float64, start time.Time) Cell {
	if v == 0 {
		v = 0 // without the sign of what was rounded to nothing from below
	}
	s, size := f.pick(v)
	dated := s.has(date)
	if len(s) == 0 || math.IsInf(v, 0) || math.IsNaN(v) || dated && !(v >= 0 && v < lastDay+1) {
		return Cell{Text: full(v)}
	}
	if dated {
		day, text := s.moment(v, start)
		return Cell{Text: text, Day: day}
	}
	pattern := ""
	for _, t := range s {
		switch t.kind {
		case digits:
			pattern = t.text
		case percent:
			size *= 100
		}
	}
	sign := ""
	if size < 0 { // it stands before all text of the format
		sign, size = "-", -size
	}
	shown := fixed(size, pattern)
	c := Cell{Text: sign + s.around(shown)}
	if seen, err := strconv.ParseFloat(shown, 64); err != nil || math.Abs(seen-size) > 1e-9*size {
		c.Held = sign + s.around(full(size))
	}
	return c
}

// full has twelve digits: enough for any reading, and 0.1 + 0.2 comes out as 0.3.
func full(v float64) string { return strconv.FormatFloat(v, 'g', 12, 64) }

// pick returns the section for a number, and the number to show with it.
func (f format) pick(v float64) (section, float64) {
	switch {
	case len(f) == 0:
		return nil, v
	case v < 0 && len(f) > 1:
		return f[1], -v
	case v == 0 && len(f) > 2:
		return f[2], v
	}
	return f[0], v
}

// fixed writes a number with the places of a pattern such as #,##0.0#, halves
// away from zero.
func fixed(v float64, pattern string) string {
	whole, places, _ := strings.Cut(pattern, ".")
	if scale := math.Pow10(len(places)); !math.IsInf(v*scale, 0) {
		v = math.Round(v*scale) / scale
	}
	text := strconv.FormatFloat(v, 'f', len(places), 64)
	for extra := len(places) - strings.Count(places, "0"); extra > 0 && strings.HasSuffix(text, "0"); extra-- {
		text = text[:len(text)-1]
	}
	text = strings.TrimSuffix(text, ".")
	before, _, _ := strings.Cut(text, ".")
	return strings.Repeat("0", max(0, strings.Count(whole, "0")-len(before))) + text
}

// around writes a number among the text of its format.
func (s section) around(number string) string {
	var out strings.Builder
	for _, t := range s {
		if t.kind == digits {
			out.WriteString(number)
			continue
		}
		out.WriteString(t.text)
	}
	return strings.TrimSpace(out.String())
}

// layouts are those of the time package for parts of a date. Hours and seconds
// are not among them.
var layouts = map[string]string{
	"y": "06", "yy": "06", "yyy": "2006", "yyyy": "2006",
	"m": "1", "mm": "01", "mmm": "Jan", "mmmm": "January", "mmmmm": "Jan",
	"d": "2", "dd": "02", "ddd": "Mon", "dddd": "Monday",
	"am/pm": "PM", "a/p": "PM",
}

// moment is the day and the text of a number that counts days.
func (s section) moment(v float64, start time.Time) (day, text string) {
	whole, part := math.Modf(v)
	t := start.AddDate(0, 0, int(whole)).Add(time.Duration(part * float64(24*time.Hour)).Round(s.finest()))
	var out strings.Builder
	for i, k := range s {
		switch {
		case k.kind != date:
			out.WriteString(k.text)
		case k.text[0] == '[':
			unit := map[byte]time.Duration{'h': time.Hour, 'm': time.Minute, 's': time.Second}[k.text[1]]
			out.WriteString(strconv.FormatInt(int64(t.Sub(start)/unit), 10))
		case k.text[0] == 'h':
			out.WriteString(padded(s.hour(t), k.text))
		case k.text[0] == 's':
			out.WriteString(padded(t.Second(), k.text) + fraction(t, k.text))
		case k.text[0] == 'm' && s.isMinute(i):
			out.WriteString(padded(t.Minute(), k.text))
		default:
			out.WriteString(t.Format(layouts[k.text]))
		}
	}
	return t.Format(time.DateOnly), strings.TrimSpace(out.String())
}

// fraction is .25 of a time for ss.00.
func fraction(t time.Time, pattern string) string {
	_, places, ok := strings.Cut(pattern, ".")
	if !ok {
		return ""
	}
	return strings.TrimPrefix(t.Format("05."+places), t.Format("05"))
}

func padded(n int, pattern string) string {
	if n < 10 && strings.HasPrefix(pattern[1:], pattern[:1]) {
		return "0" + strconv.Itoa(n)
	}
	return strconv.Itoa(n)
}

// finest is what a time is rounded to: the last place of its seconds, or whole
// seconds where it shows none. Minutes without seconds are then cut.
func (s section) finest() time.Duration {
	for _, t := range s {
		if _, places, ok := strings.Cut(t.text, "."); ok && t.kind == date {
			return time.Second / time.Duration(math.Pow10(min(len(places), 9)))
		}
	}
	return time.Second
}

// hour counts to 12 where the section tells the half of the day.
func (s section) hour(t time.Time) int {
	for _, k := range s {
		if k.kind == date && strings.HasPrefix(k.text, "a") {
			return (t.Hour()+11)%12 + 1
		}
	}
	return t.Hour()
}

// isMinute tells minutes from months: they follow hours or come before seconds.
func (s section) isMinute(at int) bool {
	return len(s[at].text) <= 2 && (s.beside(at, -1) == 'h' || s.beside(at, 1) == 's')
}

// beside is the letter of the part of the date before (-1) or after (1) a token.
func (s section) beside(at, step int) byte {
	for i := at + step; i >= 0 && i < len(s); i += step {
		if s[i].kind == date {
			return strings.TrimPrefix(s[i].text, "[")[0]
		}
	}
	return 0
}
