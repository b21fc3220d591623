package pack

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"fairburn/finding"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

var made = time.Date(2026, 3, 4, 5, 6, 7, 0, time.UTC)

func about() About {
	return About{Tool: "fairburn 0.0", Title: "Two invented cans", Invented: true, Made: made,
		From: []Source{{Kind: "sheet", Name: "sheet.toml"}}}
}

func published() []File {
	return []File{
		{"report.html", []byte("<p>two cans</p>\n"), "the report"},
		{"data/burns.csv", []byte("burn,t_raw_s\n1,412\n"), "a row a burn"},
		{"sheet.toml", []byte("fairburn = 1\n"), "the sheet"},
	}
}

func newPack(t testing.TB, a About, files []File) *Pack {
	t.Helper()
	p, err := New(a, files)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// folder is the pack as a folder.
func folder(p *Pack) fstest.MapFS {
	m := fstest.MapFS{}
	for _, f := range p.All() {
		m[f.Path] = &fstest.MapFile{Data: f.Data, Mode: 0o644}
	}
	return m
}

func zipped(t testing.TB, p *Pack) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := p.WriteZip(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func readZip(data []byte, l Limits) (*Pack, []finding.Finding, error) {
	return ReadZip(bytes.NewReader(data), int64(len(data)), l)
}

func TestWhatIsWrittenIsRead(t *testing.T) {
	p := newPack(t, about(), published())
	for name, read := range map[string]func() (*Pack, []finding.Finding, error){
		"folder": func() (*Pack, []finding.Finding, error) { return Read(folder(p), DefaultLimits()) },
		"zip":    func() (*Pack, []finding.Finding, error) { return readZip(zipped(t, p), DefaultLimits()) },
	} {
		got, found, err := read()
		if err != nil || len(found) > 0 {
			t.Fatalf("%s: %v %v", name, err, found)
		}
		if diff := cmp.Diff(p, got, cmp.AllowUnexported(Pack{})); diff != "" {
			t.Errorf("%s: (-written +read)\n%s", name, diff)
		}
	}
	if f, ok := p.File("data/burns.csv"); !ok || f.Says != "a row a burn" {
		t.Errorf("file: %v %v", f, ok)
	}
	if _, ok := p.File("burns.csv"); ok {
		t.Error("a file that is not there was found")
	}
}

func TestTheSameTestGivesTheSameBytes(t *testing.T) {
	files := published()
	p := newPack(t, about(), files)
	slices.Reverse(files)
	q := newPack(t, about(), files)
	if !bytes.Equal(zipped(t, p), zipped(t, q)) {
		t.Error("the order in which files are handed in changes the zip")
	}
	if files[0].Path != "sheet.toml" {
		t.Error("the caller's files were put into another order")
	}
	later := about()
	later.Made = made.Add(300*time.Millisecond + 0)
	if newPack(t, later, files).Sum() != p.Sum() {
		t.Error("a part of a second changes the pack")
	}
	local := about()
	local.Made = made.In(time.FixedZone("x", 3600))
	if newPack(t, local, files).Sum() != p.Sum() {
		t.Error("the time zone of the machine changes the pack")
	}
}

// TestCoreutilsAgrees lays a pack into a folder and lets the usual command check it.
func TestCoreutilsAgrees(t *testing.T) {
	command, err := exec.LookPath("sha256sum")
	if err != nil {
		t.Skip("no sha256sum on this machine")
	}
	dir := t.TempDir()
	for _, f := range newPack(t, about(), published()).All() {
		at := filepath.Join(dir, filepath.FromSlash(f.Path))
		if err := os.MkdirAll(filepath.Dir(at), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(at, f.Data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	check := func() (string, error) {
		c := exec.Command(command, "--check", "--strict", SumsName)
		c.Dir, c.Env = dir, append(os.Environ(), "LC_ALL=C")
		out, err := c.CombinedOutput()
		return string(out), err
	}
	out, err := check()
	if want := "data/burns.csv: OK\npack.json: OK\nreport.html: OK\nsheet.toml: OK\n"; err != nil || out != want {
		t.Errorf("sha256sum: %v\n%s", err, out)
	}
	if err := os.WriteFile(filepath.Join(dir, "report.html"), []byte("<p>three cans</p>\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if out, err := check(); err == nil || !strings.Contains(out, "report.html: FAILED") {
		t.Errorf("sha256sum sees no change: %v\n%s", err, out)
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	if _, found, err := Read(root.FS(), DefaultLimits()); err != nil || !finding.Has(found, "pack_file_changed") {
		t.Errorf("read from disk: %v %v", found, err)
	}
}

func TestEditions(t *testing.T) {
	first := newPack(t, about(), published())
	files := published()
	files[1].Data = []byte("burn,t_raw_s\n1,413\n")
	files[2] = File{"method.txt", []byte("as before\n"), "how"}
	next := about()
	next.Made, next.Earlier, next.Changed = made.Add(time.Hour), first, []string{"burn 1 was read again"}
	second := newPack(t, next, files)
	want := Manifest{
		Pack: 1, Tool: "fairburn 0.0", Title: "Two invented cans", Invented: true, Made: made.Add(time.Hour), Edition: 2,
		Supersedes: &Edition{1, made, first.Sum()}, First: first.Sum(), Changed: []string{"burn 1 was read again"},
		Changes: []Change{
			{"data/burns.csv", Changed, sum([]byte("burn,t_raw_s\n1,412\n")), sum([]byte("burn,t_raw_s\n1,413\n"))},
			{"method.txt", Added, "", sum([]byte("as before\n"))},
			{"sheet.toml", Removed, sum([]byte("fairburn = 1\n")), ""},
		},
		From: next.From, List: second.List,
	}
	if diff := cmp.Diff(want, second.Manifest); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
	if first.Edition != 1 || first.Supersedes != nil || first.Changes != nil {
		t.Errorf("the first edition says %+v", first.Manifest)
	}
	read, _, err := Read(folder(second), DefaultLimits())
	if err != nil || read.Supersedes.SHA256 != first.Sum() {
		t.Errorf("read: %v", err)
	}
}

func TestWhatCannotBePublished(t *testing.T) {
	one := func(paths ...string) (files []File) {
		for _, p := range paths {
			files = append(files, File{Path: p})
		}
		return files
	}
	with := func(change func(*About)) About {
		a := about()
		change(&a)
		return a
	}
	for _, c := range []struct {
		about About
		files []File
		want  string
	}{
		{with(func(a *About) { a.Title = "" }), nil, "the pack has no title, expected the trial's"},
		{with(func(a *About) { a.Tool = "" }), nil, "the pack does not say which program made it, expected its name and version"},
		{with(func(a *About) { a.Made = time.Time{} }), nil, "the pack has no date, expected when it was made"},
		{with(func(a *About) { a.Made = time.Date(10000, 1, 1, 0, 0, 0, 0, time.UTC) }), nil, "the pack has no date, expected when it was made"},
		{with(func(a *About) { a.Changed = []string{"x"} }), nil, "the pack says what changed and not since when, expected the earlier edition too"},
		{with(func(a *About) { a.Earlier, a.Made = newPack(t, about(), nil), made.Add(-time.Second) }), nil,
			"the pack is dated 2026-03-04T05:06:06Z, before the edition it takes the place of (2026-03-04T05:06:07Z): set the clock, or name another edition"},
		{about(), one("a.csv", "A.csv"), `files "A.csv" and "a.csv" differ by no more than the case of letters, expected names that do: rename one`},
		{about(), one("a.csv", "a.csv"), `files "a.csv" and "a.csv" differ by no more than the case of letters, expected names that do: rename one`},
		{about(), one("Pack.json"), `files "pack.json" and "Pack.json" differ by no more than the case of letters, expected names that do: rename one`},
		{about(), one("data", "data/a"), `file "data/a" lies in "data", which is a file too: rename one`},
		{about(), one("../a"), `file "../a" has a path that leaves the pack or names nothing, expected parts with a name, without ".."`},
		{about(), one("/etc/a"), `file "/etc/a" has a path from the root of a disk, expected one from the root of the pack`},
		{about(), one("a b"), `file "a b" has the character ' ', expected letters a to z, digits, dot, dash and underscore`},
		{about(), one("é"), `file "é" has the character 'é', expected letters a to z, digits, dot, dash and underscore`},
		{about(), one(".ssh/a"), `file ".ssh/a" has a part that begins with a dot or a dash or ends with a dot, expected a letter or a digit`},
		{about(), one("data/-rf"), `file "data/-rf" has a part that begins with a dot or a dash or ends with a dot, expected a letter or a digit`},
		{about(), one("data/NUL.csv"), `file "data/NUL.csv" has the name of a device, expected another name`},
		{about(), one("d/" + strings.Repeat("x", 159)), `file "d/` + strings.Repeat("x", 38) + `"… has a name of 161 bytes, expected at most 160`},
	} {
		if _, err := New(c.about, c.files); err == nil || err.Error() != c.want {
			t.Errorf("got  %v\nwant %s", err, c.want)
		}
	}
	if _, err := New(about(), one("d/"+strings.Repeat("x", 158))); err != nil {
		t.Errorf("a name of 160 bytes: %v", err)
	}
	if _, err := New(with(func(a *About) { a.From = []Source{{SHA256: "abc"}} }), nil); err == nil || err.Error() != `"abc" is no SHA-256, expected 64 digits 0 to 9 and a to f` {
		t.Errorf("got %v", err)
	}
}

// TestTextsAreOneLine: what a terminal would obey is no part of a text.
func TestTextsAreOneLine(t *testing.T) {
	a := about()
	a.Title, a.Tool, a.From = "two\nlines\x1b[2J \xff", "tool\u202e", []Source{{Kind: "sheet", Name: "a\tb"}}
	p := newPack(t, a, []File{{"a.txt", nil, "says\r\nso"}})
	got, found, err := Read(folder(p), DefaultLimits())
	if err != nil || len(found) > 0 {
		t.Fatalf("%v %v", err, found)
	}
	if diff := cmp.Diff(p, got, cmp.AllowUnexported(Pack{}), cmpopts.EquateEmpty()); diff != "" {
		t.Errorf("(-written +read)\n%s", diff)
	}
	if got.Title != "two lines [2J \uFFFD" || got.Tool != "tool " || got.From[0].Name != "a b" || got.Files[0].Says != "says  so" {
		t.Errorf("%+v", got.Manifest)
	}
}

// TestAPackOfEveryVersionIsRead holds that what was written once stays readable:
// a folder under testdata for each version, never written again.
func TestAPackOfEveryVersionIsRead(t *testing.T) {
	for _, version := range []string{"v1"} {
		p, found, err := Read(os.DirFS(filepath.Join("testdata", version)), DefaultLimits())
		if err != nil || len(found) > 0 {
			t.Fatalf("%s: %v %v", version, err, found)
		}
		burns, ok := p.File("data/burns.csv")
		if p.Edition != 2 || p.Supersedes.Edition != 1 || len(p.Changes) != 1 || !ok || !strings.HasPrefix(string(burns.Data), "burn,") ||
			p.Title != "Two invented cans <1 & 2>" || !p.Invented || p.From[1].Kind != "record" || p.List[0].Says == "" {
			t.Errorf("%s: %+v", version, p.Manifest)
		}
	}
}

// broken is a writer that takes so many bytes.
type broken struct{ left int }

func (b *broken) Write(p []byte) (int, error) {
	if b.left -= len(p); b.left < 0 {
		return 0, errors.New("disk full")
	}
	return len(p), nil
}

func TestAFullDiskIsSaid(t *testing.T) {
	big := []File{{Path: "a.bin", Data: bytes.Repeat([]byte("0123456789abcdef\x00\xff"), 1<<16)}}
	p := newPack(t, about(), big)
	for _, left := range []int{0, 100, 1000} {
		if err := p.WriteZip(&broken{left}); err == nil || !strings.Contains(err.Error(), "disk full") {
			t.Errorf("%d bytes: %v", left, err)
		}
	}
}

// TestZipIsReadByTheStandardLibraryAlone: names, dates and bytes.
func TestZipIsReadByTheStandardLibraryAlone(t *testing.T) {
	data := zipped(t, newPack(t, about(), published()))
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, f := range z.File {
		names = append(names, f.Name)
		if !f.Modified.Equal(made) || f.Mode() != 0o644 {
			t.Errorf("%s: %v %v", f.Name, f.Modified, f.Mode())
		}
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.ReadAll(r); err != nil {
			t.Error(err)
		}
	}
	if want := []string{"SHA256SUMS", "data/burns.csv", "pack.json", "report.html", "sheet.toml"}; !slices.Equal(names, want) {
		t.Errorf("got %v", names)
	}
}

// BenchmarkReadZip reads a pack of 500 files of 20 kB.
func BenchmarkReadZip(b *testing.B) {
	var files []File
	for i := range 500 {
		files = append(files, File{Path: fmt.Sprintf("data/%03d.csv", i), Data: bytes.Repeat([]byte(fmt.Sprintf("%d,407,23.3 g\n", i)), 1500)})
	}
	data := zipped(b, newPack(b, about(), files))
	for b.Loop() {
		if _, _, err := readZip(data, DefaultLimits()); err != nil {
			b.Fatal(err)
		}
	}
}
