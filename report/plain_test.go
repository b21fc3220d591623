package report

import (
	"strings"
	"testing"

	"fairburn/verdict"
)

// A terminal gets nothing to obey from a sheet, however it got into the report.
func TestNothingForATerminalToObey(t *testing.T) {
	if got, want := Plain("a\x1b[2Jb\u009bc\u202ed\u2066\x7f\ne\tf \u200fé"), "a\ufffd[2Jb\ufffdc\ufffdd\ufffd\ufffd\ne\tf \u200fé"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	x := invented()
	x.Title, x.Burns[0].Void, x.Entries[0].Notes = "\x1b]0;x\x07", "\x1b[31m", "\u202e"
	r := x.Reduce()
	var b strings.Builder
	if err := Terminal(&b, verdict.Judge(r), r, Options{}); err != nil {
		t.Fatal(err)
	}
	if strings.ContainsAny(b.String(), "\x1b\x07\u202e") {
		t.Errorf("%q", b.String())
	}
}
