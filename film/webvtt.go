package film

import (
	"fmt"
	"strings"
	"time"
)

var vttText = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;")

// WebVTT writes cues whose text people read: captions and chapters. It writes no
// byte order mark, nothing after the signature, hours always, one blank line
// between cues and one newline at the end, since each of these has stopped one
// reader or another.
//
// Source: W3C, WebVTT: The Web Video Text Tracks Format, Candidate Recommendation
// 4 April 2019, section 4 (syntax); & < > escaped by 4.2.2 (cue text).
func WebVTT(cues []Cue) string { return webVTT(cues, vttText.Replace) }

// WebVTTData writes cues whose text programs read, unescaped (WebVTT 4.2.1,
// metadata text). JSON that holds neither > nor a line break cannot end a cue.
func WebVTTData(cues []Cue) string { return webVTT(cues, func(s string) string { return s }) }

func webVTT(cues []Cue, escape func(string) string) string {
	var b strings.Builder
	b.WriteString("WEBVTT\n")
	if len(cues) == 0 {
		b.WriteString("\n") // the signature is followed by two line ends even so
	}
	for _, c := range cues {
		fmt.Fprintf(&b, "\n%s --> %s\n", clockTime(c.Start, "."), clockTime(c.End, "."))
		for _, line := range c.Lines {
			b.WriteString(escape(line) + "\n")
		}
	}
	return b.String()
}

// clockTime is hh:mm:ss with milliseconds after a point or a comma.
func clockTime(d time.Duration, point string) string {
	ms := d.Milliseconds()
	return fmt.Sprintf("%02d:%02d:%02d%s%03d", ms/3600_000, ms/60_000%60, ms/1000%60, point, ms%1000)
}

// unmarked takes what a plain-text format may take for markup out of a text. Such
// formats have no way to escape it, so signs that look alike stand in.
var unmark = strings.NewReplacer("<", "‹", ">", "›", "{", "(", "}", ")", `\`, "/")

func unmarked(s string) string { return unmark.Replace(s) }

// SRT writes captions as SubRip text: a counter from 1, times with a comma. The
// format has no standard and no escape; players take <b>, {\an8} and \N for markup,
// so < > { } \ become ‹ › ( ) /.
func SRT(cues []Cue) string {
	var b strings.Builder
	for i, c := range cues {
		if i > 0 {
			b.WriteString("\n")
		}
		fmt.Fprintf(&b, "%d\n%s --> %s\n", i+1, clockTime(c.Start, ","), clockTime(c.End, ","))
		for _, line := range c.Lines {
			b.WriteString(unmarked(line) + "\n")
		}
	}
	return b.String()
}
