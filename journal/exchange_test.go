package journal

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"iter"
	"strings"
	"testing"
)

// entries yields records as a store would.
func entries(records ...Stored) iter.Seq2[Entry, error] {
	return func(yield func(Entry, error) bool) {
		for i, s := range records {
			if !yield(Entry{Seq: int64(i + 1), Stored: s}, nil) {
				return
			}
		}
	}
}

func exchange(t testing.TB, records ...Stored) string {
	t.Helper()
	var b bytes.Buffer
	if n, err := WriteExchange(&b, entries(records...)); err != nil || n != len(records) {
		t.Fatal(n, err)
	}
	return b.String()
}

func TestExchangeReadsBack(t *testing.T) {
	k := testKey(t, 1)
	other := plain()
	other.Body = []byte(`{"record":{"a":"}"}}`)
	want := []Stored{seal(t, k, plain()), seal(t, k, other)}
	for _, text := range []string{exchange(t, want...), strings.ReplaceAll(exchange(t, want...), "\n", "\r\n"), strings.TrimSuffix(exchange(t, want...), "\n")} {
		n := 0
		for line, err := range ReadExchange(strings.NewReader(text)) {
			if err != nil || line.Fault != nil || line.Number != n+2 {
				t.Fatal(line.Number, err, line.Fault)
			}
			if got := line.Stored; got.ID != want[n].ID || string(got.Bytes) != string(want[n].Bytes) {
				t.Errorf("line %d: %s", line.Number, got.Bytes)
			}
			if _, err := line.Stored.Check(); err != nil {
				t.Error(err)
			}
			n++
		}
		if n != len(want) {
			t.Errorf("%d records, expected %d", n, len(want))
		}
	}
}

func TestExchangeRefusesForeignFiles(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"", `line 1: expected {"fairburn_exchange":1}, found ""; this is no file of fairburn records`},
		{"title = \"trial\"\n", `found "title = \"trial\""; this is no file of fairburn records`},
		{"{\"fairburn_exchange\":2}\n", `found "{\"fairburn_exchange\":2}"; a newer fairburn may have written it`},
		{strings.Repeat("x", maxLine+1), "this is no file of fairburn records"},
	} {
		n := 0
		for _, err := range ReadExchange(strings.NewReader(test.text)) {
			n++
			if err == nil || !strings.Contains(err.Error(), test.want) {
				t.Errorf("got %v, expected %q", err, test.want)
			}
		}
		if n != 1 {
			t.Errorf("%d lines yielded, expected the error alone", n)
		}
	}
}

func TestABadLineDoesNotHarmTheOthers(t *testing.T) {
	good := exchange(t, seal(t, testKey(t, 1), plain()))
	line := good[strings.Index(good, "\n")+1:]
	for _, test := range []struct{ bad, want string }{
		{"\n", `expected {"signer":" and 32 bytes in base64, found ""`},
		{"{}\n", `expected {"signer":" and 32 bytes in base64, found "{}"`},
		{strings.Replace(line, `signer":"`, `signer":"!`, 1), `expected {"signer":" and 32 bytes in base64`},
		{strings.Replace(line, `signature":"`, `signature":"!`, 1), `expected ","signature":" and 64 bytes in base64`},
		{line[:len(line)-2] + "\n", ""}, // the record is cut, which Check finds
		{line[:160] + "\n", `expected ","record":`},
		{strings.Repeat("y", maxLine+1) + "\n", fmt.Sprintf("line longer than %d bytes", maxLine)},
		{strings.Repeat("y", maxLine-1) + "\n", `expected {"signer":"`},
	} {
		faults, whole := []string(nil), 0
		for l, err := range ReadExchange(strings.NewReader(good + test.bad + line)) {
			if err != nil {
				t.Fatal(err)
			}
			if l.Fault != nil {
				faults = append(faults, l.Fault.Error())
			} else if _, err := l.Stored.Check(); err != nil {
				faults = append(faults, err.Error())
			} else {
				whole++
			}
		}
		if whole != 2 || len(faults) != 1 || !strings.Contains(faults[0], test.want) {
			t.Errorf("%.60q: %d whole, faults %v, expected %q", test.bad, whole, faults, test.want)
		}
	}
}

func TestReadingStopsWhereItMust(t *testing.T) {
	head := exchangeHead + "\n"
	for _, test := range []struct {
		lines int
		want  string
	}{{7, ""}, {8, "line 9: expected at most 7 records in one file"}} {
		n, last := 0, ""
		for _, err := range readExchange(strings.NewReader(head+strings.Repeat("\n", test.lines)), 7) {
			if n++; err != nil {
				last = err.Error()
			}
		}
		if n != test.lines || last != test.want {
			t.Errorf("%d lines, then %q, expected %d and %q", n, last, test.lines, test.want)
		}
	}
	broken := errors.New("the stick was pulled")
	for _, err := range ReadExchange(io.MultiReader(strings.NewReader(head), failing{broken})) {
		if !errors.Is(err, broken) {
			t.Errorf("got %v", err)
		}
	}
	for range ReadExchange(strings.NewReader(head + "\n\n\n")) {
		break // must not go on yielding
	}
}

type failing struct{ err error }

func (f failing) Read([]byte) (int, error)  { return 0, f.err }
func (f failing) Write([]byte) (int, error) { return 0, f.err }

func TestWritingTellsWhereItFailed(t *testing.T) {
	full := errors.New("full")
	if _, err := WriteExchange(failing{full}, entries()); !errors.Is(err, full) {
		t.Errorf("got %v", err)
	}
	broken := func(yield func(Entry, error) bool) { yield(Entry{}, full) }
	if _, err := WriteExchange(io.Discard, broken); err == nil || err.Error() != "writing record 1: full" {
		t.Errorf("got %v", err)
	}
}

func FuzzReadExchange(f *testing.F) {
	f.Add([]byte(exchange(f, seal(f, testKey(f, 1), plain()))))
	f.Add([]byte(exchangeHead + "\n\r\n{\"signer\":\""))
	f.Fuzz(func(t *testing.T, text []byte) {
		for line, err := range ReadExchange(bytes.NewReader(text)) {
			if err != nil || line.Fault != nil {
				continue
			}
			if !bytes.Contains(text, exchangeLine(line.Stored)[:len(exchangeLine(line.Stored))-1]) {
				t.Errorf("line %d reads as something that is not there", line.Number)
			}
		}
	})
}
