package pack

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"testing/fstest"
	"unicode/utf8"

	"fairburn/finding"
)

// put is one entry of a zip made by hand.
type put struct {
	name string
	mode fs.FileMode
	data []byte
}

// zipOf makes a zip of a sound pack and more.
func zipOf(t testing.TB, more ...put) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	all := []put{}
	for _, f := range newPack(t, about(), published()).All() {
		all = append(all, put{f.Path, 0o644, f.Data})
	}
	for _, p := range append(all, more...) {
		h := &zip.FileHeader{Name: p.name, Method: zip.Deflate}
		h.SetMode(p.mode)
		w, err := z.CreateHeader(h)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write(p.data); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestHostileZipsAreRefused(t *testing.T) {
	small := Limits{Files: 8, File: 3 << 20, Total: 4 << 20, Ratio: 200}
	zeros := bytes.Repeat([]byte{0}, 2<<20)
	for _, c := range []struct {
		what string
		more []put
		code string
		want string
	}{
		{"climbs", []put{{"../evil.sh", 0o644, nil}}, "pack_name", `file "../evil.sh" has a path that leaves the pack or names nothing, expected parts with a name, without ".."`},
		{"climbs inside", []put{{"data/../../evil.sh", 0o644, nil}}, "pack_name", `leaves the pack`},
		{"absolute", []put{{"/etc/passwd", 0o644, nil}}, "pack_name", `file "/etc/passwd" has a path from the root of a disk, expected one from the root of the pack`},
		{"drive", []put{{`C:\evil.exe`, 0o644, nil}}, "pack_name", `has the character ':'`},
		{"backslash", []put{{`..\evil.exe`, 0o644, nil}}, "pack_name", `has the character '\\'`},
		{"empty part", []put{{"data//x", 0o644, nil}}, "pack_name", "names nothing"},
		{"markup", []put{{"<img src=x onerror=alert(1)>", 0o644, nil}}, "pack_name", `has the character '<'`},
		{"terminal", []put{{"a\x1b[2Jb", 0o644, nil}}, "pack_name", `file "a\x1b[2Jb" has the character '\x1b'`},
		{"line break", []put{{"a\nb", 0o644, nil}}, "pack_name", `file "a\nb" has the character '\n'`},
		{"turned text", []put{{"a\u202egpj.exe", 0o644, nil}}, "pack_name", `has the character '\u202e'`},
		{"no UTF-8", []put{{"a\xff", 0o644, nil}}, "pack_name", `has a name that is no UTF-8`},
		{"long name", []put{{strings.Repeat("x", 161), 0o644, nil}}, "pack_name", "has a name of 161 bytes, expected at most 160"},
		{"link", []put{{"data/link", fs.ModeSymlink | 0o777, []byte("/etc/passwd")}}, "pack_link_or_device", `"data/link" is a link, expected a file`},
		{"device", []put{{"data/null", fs.ModeDevice | fs.ModeCharDevice | 0o666, nil}}, "pack_link_or_device", `"data/null" is a device, expected a file`},
		{"pipe", []put{{"data/pipe", fs.ModeNamedPipe | 0o666, nil}}, "pack_link_or_device", `"data/pipe" is a pipe, expected a file`},
		{"socket", []put{{"data/socket", fs.ModeSocket | 0o666, nil}}, "pack_link_or_device", `"data/socket" is a socket, expected a file`},
		{"twice", []put{{"report.html", 0o644, []byte("another")}}, "pack_name_twice", `file "report.html" is there twice`},
		{"case", []put{{"Report.html", 0o644, nil}}, "pack_name_case", `files "report.html" and "Report.html" differ only by the case of letters`},
		{"too many", []put{{"1", 0o644, nil}, {"2", 0o644, nil}, {"3", 0o644, nil}, {"4", 0o644, nil}}, "pack_too_many", "there are more than 8 files, expected fewer"},
		{"too large", []put{{"big", 0o644, append(zeros, zeros...)}}, "pack_too_large", `file "big" has 4194304 bytes, expected at most 3145728`},
		{"too large together", []put{{"a", 0o644, zeros}, {"b", 0o644, append(zeros, 1)}}, "pack_too_large", "the files have more than 4194304 bytes together, expected fewer"},
		{"bomb", []put{{"bomb", 0o644, zeros}}, "pack_bomb", `file "bomb" has 2097152 bytes packed into`},
	} {
		p, found, err := readZip(zipOf(t, c.more...), small)
		if p != nil || !errors.Is(err, ErrRefused) || !finding.Has(found, c.code) {
			t.Errorf("%s: %v, found %v", c.what, err, found)
			continue
		}
		all := ""
		for _, f := range found {
			all += f.String() + "\n"
			if f.Severity != finding.Fault || f.Remedy == "" {
				t.Errorf("%s: severity or remedy of %v", c.what, f)
			}
		}
		if !strings.Contains(all, c.want) || strings.ContainsAny(all, "\x1b\u202e") || !utf8.ValidString(all) {
			t.Errorf("%s: got %q, want %s", c.what, all, c.want)
		}
	}
}

// TestSizesAreNotBelieved: a zip that understates its sizes is found when it is read.
func TestSizesAreNotBelieved(t *testing.T) {
	data := zipOf(t, put{"big", 0o644, bytes.Repeat([]byte("fire"), 1<<20)})
	// The central directory says 4 MiB in four bytes, little endian.
	at := bytes.LastIndex(data, []byte{0, 0, 0x40, 0})
	copy(data[at:], []byte{10, 0, 0, 0})
	_, found, err := readZip(data, DefaultLimits())
	if !errors.Is(err, ErrRefused) || !finding.Has(found, "pack_unreadable") {
		t.Errorf("%v %v", err, found)
	}
}

func TestLimitsBothSides(t *testing.T) {
	p := newPack(t, about(), published())
	total, most := int64(0), int64(0)
	for _, f := range p.All() {
		total += int64(len(f.Data))
		most = max(most, int64(len(f.Data)))
	}
	n := len(p.All()) + 1 // the folder data
	for _, c := range []struct {
		what string
		l    Limits
		ok   bool
	}{
		{"files", Limits{n, most, total, 200}, true},
		{"one file too many", Limits{n - 1, most, total, 200}, false},
		{"one byte too many", Limits{n, most, total - 1, 200}, false},
		{"largest file a byte too large", Limits{n, most - 1, total, 200}, false},
	} {
		_, _, err := Read(folder(p), c.l)
		if (err == nil) != c.ok || err != nil && !errors.Is(err, ErrRefused) {
			t.Errorf("%s: %v", c.what, err)
		}
	}
	big := zipped(t, p)
	if _, _, err := readZip(big, Limits{n, most, int64(len(big)) - 1, 200}); !errors.Is(err, ErrRefused) {
		t.Errorf("a zip larger than the total: %v", err)
	}
}

func TestHostileFoldersTouchNothingOutside(t *testing.T) {
	outside := filepath.Join(t.TempDir(), "secret")
	if err := os.WriteFile(outside, []byte("secret"), 0o600); err != nil {
		t.Fatal(err)
	}
	for what, make := range map[string]func(dir string) error{
		"is a link": func(dir string) error { return os.Symlink(outside, filepath.Join(dir, "extra.csv")) },
		"data\" is a link": func(dir string) error {
			return errors.Join(os.RemoveAll(filepath.Join(dir, "data")), os.Symlink(filepath.Dir(outside), filepath.Join(dir, "data")))
		},
		"is a pipe": func(dir string) error { return syscall.Mkfifo(filepath.Join(dir, "extra.csv"), 0o600) },
	} {
		dir := t.TempDir()
		if err := os.CopyFS(dir, folder(newPack(t, about(), published()))); err != nil {
			t.Fatal(err)
		}
		if err := make(dir); err != nil {
			t.Fatal(err)
		}
		p, found, err := Read(os.DirFS(dir), DefaultLimits())
		if p != nil || !errors.Is(err, ErrRefused) || !finding.Has(found, "pack_link_or_device") || !strings.Contains(err.Error(), what) {
			t.Errorf("%s: %v %v", what, err, found)
		}
		if strings.Contains(fmt.Sprint(found, err), "secret\"") {
			t.Errorf("%s: what lies outside was read", what)
		}
	}
	// A file that became a link after it was listed.
	if _, err := openRegular(fstest.MapFS{"a": {Mode: fs.ModeNamedPipe}}, "a"); err == nil || err.Error() != "it is a pipe, expected a file" {
		t.Errorf("replaced: %v", err)
	}
	if _, _, err := Read(os.DirFS(outside), DefaultLimits()); !errors.Is(err, ErrNoPack) {
		t.Errorf("a file in place of a folder: %v", err)
	}
	if _, _, err := Read(os.DirFS(filepath.Join(outside, "none")), DefaultLimits()); !errors.Is(err, ErrNoPack) {
		t.Errorf("nothing in place of a folder: %v", err)
	}
}

func TestChangedPacks(t *testing.T) {
	p := newPack(t, about(), published())
	html, csv := sum([]byte("<p>two cans</p>\n")), sum([]byte("burn,t_raw_s\n1,412\n"))
	text := func(s string) *fstest.MapFile { return &fstest.MapFile{Data: []byte(s)} }
	manifest := string(folder(p)[ManifestName].Data)
	sums := string(folder(p)[SumsName].Data)
	for _, c := range []struct {
		change func(fstest.MapFS)
		want   string
		kept   int
	}{
		{func(m fstest.MapFS) { m["report.html"] = text("<p>3 cans</p>\n") },
			"report.html: fault: the file was changed: read 14 bytes with SHA-256 " + sum([]byte("<p>3 cans</p>\n")) + ", expected 16 with " + html + "; it was left out; get the pack again from where it was published", 2},
		{func(m fstest.MapFS) { delete(m, "data/burns.csv") },
			"data/burns.csv: fault: the file is missing, expected 19 bytes with SHA-256 " + csv + "; get the pack again from where it was published", 2},
		{func(m fstest.MapFS) { m["data/more notes.txt"] = text("x") },
			"data/more notes.txt: caution: the file (SHA-256 " + sum([]byte("x")) + ") is not in pack.json, expected only what is; it was left out; ask who published the pack what it is, or take it away", 3},
		{func(m fstest.MapFS) { m[ManifestName] = text(strings.Replace(manifest, "Two", "Ten", 1)) },
			"pack.json: fault: pack.json or the list of checksums was changed: pack.json has SHA-256 " + sum([]byte(strings.Replace(manifest, "Two", "Ten", 1))) +
				", line 2 of SHA256SUMS is \"" + p.Sum() + "  pack.json\"; get the pack again from where it was published", 3},
		{func(m fstest.MapFS) { m[SumsName] = text(strings.Replace(sums, csv, html, 1)) },
			"SHA256SUMS: caution: line 1 is \"" + html + "  data/burns.csv\", expected \"" + csv + "  data/burns.csv\" as pack.json has it; get the pack again from where it was published", 3},
		{func(m fstest.MapFS) { delete(m, SumsName) },
			"SHA256SUMS: caution: the list of checksums is missing, so nothing tells whether pack.json is as it was published; compare its SHA-256 with the one that was published: " + p.Sum(), 3},
	} {
		m := folder(p)
		c.change(m)
		got, found, err := Read(m, DefaultLimits())
		if err != nil || len(found) != 1 {
			t.Errorf("%v, found %v, want %s", err, found, c.want)
			continue
		}
		if s := found[0].String(); s != c.want || len(got.Files) != c.kept {
			t.Errorf("%d files kept, want %d\ngot  %s\nwant %s", len(got.Files), c.kept, s, c.want)
		}
	}
}

func TestWhatIsNoPack(t *testing.T) {
	manifest := string(newPack(t, about(), published()).manifest)
	change := func(old, new string) string {
		if !strings.Contains(manifest, old) {
			t.Fatalf("the manifest has no %q", old)
		}
		return strings.Replace(manifest, old, new, 1)
	}
	for _, c := range []struct {
		manifest string
		is       error
		want     string
	}{
		{change(`"pack": 1`, `"pack": 2`), ErrNewer, "the pack is newer than this program: pack.json is of version 2, this program reads up to version 1; get a newer fairburn"},
		{change(`"pack": 1`, `"pack": 2, "unheard": [of]`), ErrNoPack, "pack.json cannot be read"},
		{change(`"pack": 1`, `"pack": 0`), ErrNoPack, `this is no pack: pack.json has no version, expected "pack": 1`},
		{`{"name": "some package"}`, ErrNoPack, `this is no pack: pack.json has no version, expected "pack": 1`},
		{`[]`, ErrNoPack, "pack.json cannot be read"},
		{``, ErrNoPack, "pack.json cannot be read"},
		{change(`"edition": 1`, `"edition": "first"`), ErrNoPack, "pack.json cannot be read"},
		{change(`"made": "2026-03-04T05:06:07Z"`, `"made": "yesterday"`), ErrNoPack, "pack.json cannot be read"},
		{change(`"title": "Two`, `"title": "One", "title": "Two`), ErrNoPack, "this is no pack: pack.json, line 4: read "},
		{change(`"edition"`, `"Edition"`), ErrNoPack, "this is no pack: pack.json, line 7: read "},
		{change(`  "title"`, "\t\"title\""), ErrNoPack, "line 4"},
		{manifest + "{}", ErrNoPack, "pack.json cannot be read"},
		{change(`Two invented`, `Two\u001b[2J invented`), ErrRefused, `the pack was refused: pack.json: the text "Two\x1b[2J invented cans" holds a control character, expected words on one line`},
		{change(`Two invented`, "Two\u202e invented"), ErrRefused, `holds a control character`},
		{change(`"sha256": "`, `"sha256": "x`), ErrRefused, `is no SHA-256, expected 64 digits 0 to 9 and a to f`},
		{manifest + strings.Repeat(" ", largestManifest), ErrRefused, "expected at most 8388608"},
		{change(`"path": "report.html"`, `"path": "../../report.html"`), ErrRefused, `the pack was refused: pack.json: file "../../report.html" has a path that leaves the pack`},
		{change(`"path": "report.html"`, `"path": "a.html"`), ErrRefused, `the pack was refused: pack.json: file "a.html" is listed after "data/burns.csv", expected the order of names`},
		{change(`"path": "report.html"`, `"path": "pack.json"`), ErrRefused, `differ by no more than the case of letters`},
	} {
		p, _, err := Read(fstest.MapFS{ManifestName: {Data: []byte(c.manifest)}}, DefaultLimits())
		if p != nil || !errors.Is(err, c.is) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("got  %v\nwant %s", err, c.want)
		}
	}
	if _, _, err := Read(fstest.MapFS{"a.txt": {}}, DefaultLimits()); !errors.Is(err, ErrNoPack) || err.Error() != "this is no pack: it has no pack.json; give the folder or the .zip that was published" {
		t.Errorf("a folder of something else: %v", err)
	}
	if _, _, err := readZip([]byte("no zip at all"), DefaultLimits()); !errors.Is(err, ErrNoPack) {
		t.Errorf("no zip: %v", err)
	}
}

// TestAnEndlessListIsNotTakenIn: a zip whose list of files is longer than so many
// files need is refused before the list is in memory.
func TestAnEndlessListIsNotTakenIn(t *testing.T) {
	var many []put
	for i := range 2000 {
		many = append(many, put{fmt.Sprintf("%0150d", i), 0o644, nil})
	}
	data := zipOf(t, many...)
	l := DefaultLimits()
	l.Files = 300
	if _, _, err := readZip(data, l); !errors.Is(err, ErrRefused) || err.Error() != "the pack was refused: its list of files is longer than 300 files need" {
		t.Errorf("got %v", err)
	}
	l.Files = 2100
	if _, _, err := readZip(data, l); err != nil {
		t.Errorf("within the limit: %v", err)
	}
}

// TestAZipOfTheFolderIsRead: people zip the folder again, and some tools put
// entries for folders in.
func TestAZipOfTheFolderIsRead(t *testing.T) {
	p := newPack(t, about(), published())
	pack := func(outside bool) []byte {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		names := []string{"my test/", "my test/data/"}
		for _, f := range p.All() {
			names = append(names, "my test/"+f.Path)
		}
		if outside {
			names = append(names, "evil")
		}
		for _, name := range names {
			w, err := z.Create(name)
			if err != nil {
				t.Fatal(err)
			}
			if f := folder(p)[strings.TrimPrefix(name, "my test/")]; f != nil && !strings.HasSuffix(name, "/") {
				w.Write(f.Data)
			}
		}
		z.Close()
		return b.Bytes()
	}
	got, found, err := readZip(pack(false), DefaultLimits())
	if err != nil || len(found) > 0 || got.Sum() != p.Sum() {
		t.Errorf("%v %v", err, found)
	}
	if _, _, err := readZip(pack(true), DefaultLimits()); !errors.Is(err, ErrNoPack) {
		t.Errorf("with a file beside the folder: %v", err)
	}
}

// FuzzReadZip: whatever the bytes are, reading ends, keeps to the limits, and
// what it takes without a fault it would write again.
func FuzzReadZip(f *testing.F) {
	f.Add(zipped(f, newPack(f, about(), published())))
	f.Add(zipOf(f, put{"../evil", 0o644, nil}))
	f.Add(zipOf(f, put{"data/link", fs.ModeSymlink | 0o777, []byte("/etc/passwd")}))
	f.Add([]byte("PK\x05\x06" + strings.Repeat("\x00", 18)))
	l := Limits{Files: 50, File: 1 << 16, Total: 1 << 17, Ratio: 200}
	f.Fuzz(func(t *testing.T, data []byte) {
		p, found, err := readZip(data, l)
		if err != nil {
			if p != nil {
				t.Fatal("an error and a pack")
			}
			return
		}
		held(t, p, l)
		if len(found) == 0 && len(p.Files) != len(p.List) {
			t.Fatal("a file is missing and nothing says so")
		}
	})
}

// FuzzManifest: a manifest is read as one thing or not at all.
func FuzzManifest(f *testing.F) {
	f.Add(newPack(f, about(), published()).manifest)
	f.Add([]byte(`{"pack": 1}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		m, err := decode(data)
		if err == nil && !bytes.Equal(m.encode(), data) {
			t.Fatal("read and written differ")
		}
	})
}

func held(t *testing.T, p *Pack, l Limits) {
	total := 0
	for _, file := range p.Files {
		total += len(file.Data)
		if err := checkName(file.Path); err != nil {
			t.Fatal(err)
		}
	}
	if int64(total) > l.Total || len(p.Files) > l.Files {
		t.Fatal("beyond the limits")
	}
}
