package workbook

import (
	"regexp"
	"slices"
	"strings"
)

// builtIn are the formats that files name by number alone.
//
// Source: ECMA-376-1:2016, 18.8.30 numFmt, table of implied format codes.
var builtIn = map[int]string{
	1: "0", 2: "0.00", 3: "#,##0", 4: "#,##0.00", 9: "0%", 10: "0.00%",
	14: "mm-dd-yy", 15: "d-mmm-yy", 16: "d-mmm", 17: "mmm-yy",
	18: "h:mm AM/PM", 19: "h:mm:ss AM/PM", 20: "h:mm", 21: "h:mm:ss", 22: "m/d/yy h:mm",
	37: "#,##0 ;(#,##0)", 38: "#,##0 ;[Red](#,##0)", 39: "#,##0.00;(#,##0.00)", 40: "#,##0.00;[Red](#,##0.00)",
	45: "mm:ss", 46: "[h]:mm:ss", 47: "mmss.0",
}

// format is how numbers of a style are shown: sections for positive ones,
// negative ones and zero. A section without tokens shows the number as held.
type format []section

// section is a list of tokens: a part of a date, the place of the digits, or
// text that stands as it is.
type section []token

type token struct {
	kind kind
	text string // of a literal; of a date, in lower case; of digits, as in "#,##0.00"
}

type kind int

const (
	literal kind = iota
	date
	digits
	percent
	slash
	unknown // what this package does not render: powers of ten, conditions
)

// pieces cuts a format into tokens: quoted and escaped text, what stands in
// brackets, half-days, parts of a date, digits, and single signs.
var pieces = regexp.MustCompile(`"[^"]*"|[\\_*].|\[[^\]]*\]|(?i:general|am/pm|a/p|e[+-]|y{1,4}|m{1,5}|d{1,4}|hh?|ss?(?:\.0+)?)|[0#?][0#?,]*(?:\.[0#?]*)?|\.[0#?]+|(?s:.)`)

// longest is how many bytes a format code may have; programs allow 255 characters.
const longest = 1024

// parse reads a format code.
//
// Source: ECMA-376-1:2016, 18.8.31 numFmts.
func parse(code string) format {
	if len(code) > longest {
		return nil
	}
	f := format{nil}
	for _, piece := range pieces.FindAllString(code, -1) {
		if piece == ";" {
			f = append(f, nil)
			continue
		}
		if t := newToken(piece); t != (token{}) {
			f[len(f)-1] = append(f[len(f)-1], t)
		}
	}
	for i, s := range f {
		if !s.known() {
			f[i] = nil
		}
	}
	return f
}

// known tells whether a section can be rendered. A slash stands in dates alone;
// elsewhere it is a fraction.
func (s section) known() bool {
	dated, places := s.has(date), 0
	for _, t := range s {
		switch {
		case t.kind == unknown, t.kind == slash && !dated:
			return false
		case t.kind == digits:
			places++
			whole, _, _ := strings.Cut(t.text, ".")
			if dated || strings.HasSuffix(whole, ",") { // a comma at the end counts in thousands
				return false
			}
		}
	}
	return dated || places == 1
}

func (s section) has(k kind) bool {
	return slices.ContainsFunc(s, func(t token) bool { return t.kind == k })
}

// newToken is empty where a piece shows nothing.
func newToken(piece string) token {
	lower := strings.ToLower(piece)
	switch c := lower[0]; {
	case c == '"':
		return token{literal, strings.Trim(piece, `"`)}
	case c == '\\' && len(piece) > 1:
		return token{literal, piece[1:]}
	case (c == '_' || c == '*') && len(piece) > 1:
		return token{}
	case c == '[':
		return bracketed(lower, piece)
	case lower == "general", c == '@', c == 'e' && len(piece) > 1:
		return token{unknown, piece}
	case c == '/':
		return token{slash, piece}
	case lower == "am/pm", lower == "a/p", strings.ContainsRune("ymdhs", rune(c)):
		return token{date, lower}
	case strings.ContainsRune("0#?.", rune(c)) && len(strings.Trim(piece, ".")) > 0:
		return token{digits, piece}
	case c == '%':
		return token{percent, piece}
	}
	return token{literal, piece}
}

// bracketed is a time that runs on past a day, a currency, a colour or a language.
func bracketed(lower, piece string) token {
	inner := strings.Trim(lower, "[]")
	switch {
	case inner != "" && strings.Trim(inner, inner[:1]) == "" && strings.Contains("hms", inner[:1]):
		return token{date, "[" + inner[:1]}
	case strings.HasPrefix(inner, "$"):
		currency, _, _ := strings.Cut(strings.Trim(piece, "[$]"), "-")
		return token{literal, currency}
	case strings.ContainsAny(inner, "<>="):
		return token{unknown, piece}
	}
	return token{}
}
