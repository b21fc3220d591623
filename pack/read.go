package pack

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"path"
	"slices"
	"strings"

	"fairburn/finding"
)

// Limits bound what is read of a pack.
type Limits struct {
	Files int   // files and folders
	File  int64 // bytes of one file
	Total int64 // bytes of all files together, and of a zip
	// Ratio bounds the bytes of a file to those it takes in a zip, where the
	// file is larger than a megabyte: text is packed to a tenth, seldom to a
	// fiftieth.
	Ratio int64
}

// DefaultLimits are wide for a test of hundreds of burns with pictures (common
// practice, no source).
func DefaultLimits() Limits {
	return Limits{Files: 5000, File: 64 << 20, Total: 256 << 20, Ratio: 200}
}

// smallestBomb is the size below which a file may be packed as tightly as it likes.
const smallestBomb = 1 << 20

// member is a file or folder before it was read. Sizes are what the zip says of
// it and are believed only where they are too large.
type member struct {
	path          string
	mode          fs.FileMode
	bytes, packed uint64
	open          func() (io.ReadCloser, error)
}

// Read reads a pack from a folder. Files whose checksum is the manifest's are in
// the pack; what is changed, missing or beside it is told in the findings with
// both checksums. A folder of a disk is best handed in as os.OpenRoot's FS, from
// which no link leads out.
//
// It is ErrNoPack, ErrNewer or ErrRefused, wrapped, if nothing could be taken;
// the findings then say what was refused.
func Read(fsys fs.FS, l Limits) (*Pack, []finding.Finding, error) {
	var ms []member
	err := walk(fsys, ".", l.Files+1, &ms)
	if err != nil {
		return nil, nil, fmt.Errorf("%w: %w", ErrNoPack, err)
	}
	return read(ms, l)
}

// walk lists what lies under a folder, up to so many. It follows no link and
// asks for no more names than it will take.
func walk(fsys fs.FS, folder string, most int, ms *[]member) error {
	f, err := fsys.Open(folder)
	if err != nil {
		return err
	}
	defer f.Close()
	dir, ok := f.(fs.ReadDirFile)
	if !ok {
		return fmt.Errorf("%s is no folder", folder)
	}
	entries, err := dir.ReadDir(most - len(*ms) + 1)
	if err != nil && !errors.Is(err, io.EOF) {
		return err
	}
	slices.SortFunc(entries, func(a, b fs.DirEntry) int { return strings.Compare(a.Name(), b.Name()) })
	for _, e := range entries {
		at := path.Join(folder, e.Name())
		*ms = append(*ms, member{path: at, mode: e.Type(), open: func() (io.ReadCloser, error) { return openRegular(fsys, at) }})
		if len(*ms) >= most {
			return nil
		}
		if !e.IsDir() || checkHarmless(at) != nil {
			continue
		}
		if err := walk(fsys, at, most, ms); err != nil {
			return err
		}
	}
	return nil
}

// openRegular opens a file and looks again: it may have been replaced since it
// was listed.
func openRegular(fsys fs.FS, at string) (io.ReadCloser, error) {
	f, err := fsys.Open(at)
	if err != nil {
		return nil, err
	}
	info, err := f.Stat()
	if err == nil && !info.Mode().IsRegular() {
		err = fmt.Errorf("it is a %s, expected a file", kindOf(info.Mode()))
	}
	if err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return f, nil
}

// read checks what is there before any of it is opened, then reads and compares.
func read(ms []member, l Limits) (*Pack, []finding.Finding, error) {
	if found := refuse(ms, l); len(found) > 0 {
		return nil, found, fmt.Errorf("%w: %s; nothing of it was read", ErrRefused, found[0].Sentence)
	}
	files := map[string][]byte{}
	left := l.Total
	for _, m := range ms {
		if m.mode.IsDir() {
			continue
		}
		data, err := m.read(min(left, l.File))
		if err != nil {
			f := refused("pack_unreadable", m.path, err.Error(), "get the pack again from where it was published")
			return nil, []finding.Finding{f}, fmt.Errorf("%w: %s", ErrRefused, f.Sentence)
		}
		files[m.path] = data
		left -= int64(len(data))
	}
	manifest, ok := files[ManifestName]
	if !ok {
		return nil, nil, fmt.Errorf("%w: it has no %s; give the folder or the .zip that was published", ErrNoPack, ManifestName)
	}
	m, err := decode(manifest)
	if err != nil {
		return nil, nil, err
	}
	p := &Pack{Manifest: m, manifest: manifest}
	return p, p.take(files), nil
}

// read returns the whole file, an error if it has more than most bytes.
func (m member) read(most int64) ([]byte, error) {
	r, err := m.open()
	if err != nil {
		return nil, fmt.Errorf("file %q cannot be opened: %w", m.path, err)
	}
	defer r.Close()
	data, err := io.ReadAll(io.LimitReader(r, most+1))
	switch {
	case err != nil:
		return nil, fmt.Errorf("file %q cannot be read: %w", m.path, err)
	case int64(len(data)) > most:
		return nil, fmt.Errorf("file %q has more than the %d bytes that are left for it", m.path, most)
	}
	return data, nil
}

// take puts the files that the manifest lists into the pack and says what is
// not as it lists it.
func (p *Pack) take(files map[string][]byte) []finding.Finding {
	var found []finding.Finding
	say := func(code string, sev finding.Severity, at, sentence, remedy string) {
		found = append(found, finding.Finding{Code: code, Severity: sev, Where: finding.Place{File: at}, Sentence: sentence, Remedy: remedy})
	}
	again := "get the pack again from where it was published"
	p.checkSums(files, say)
	for _, l := range p.List {
		data, ok := files[l.Path]
		delete(files, l.Path)
		switch is := sum(data); {
		case !ok:
			say("pack_file_missing", finding.Fault, l.Path, fmt.Sprintf("the file is missing, expected %d bytes with SHA-256 %s", l.Bytes, l.SHA256), again)
		case is != l.SHA256 || int64(len(data)) != l.Bytes:
			say("pack_file_changed", finding.Fault, l.Path,
				fmt.Sprintf("the file was changed: read %d bytes with SHA-256 %s, expected %d with %s; it was left out", len(data), is, l.Bytes, l.SHA256), again)
		default:
			p.Files = append(p.Files, File{l.Path, data, l.Says})
		}
	}
	delete(files, ManifestName)
	delete(files, SumsName)
	for _, at := range slices.Sorted(maps.Keys(files)) {
		say("pack_file_extra", finding.Caution, at, fmt.Sprintf("the file (SHA-256 %s) is not in %s, expected only what is; it was left out", sum(files[at]), ManifestName),
			"ask who published the pack what it is, or take it away")
	}
	return found
}

// checkSums compares SHA256SUMS with what it must be.
func (p *Pack) checkSums(files map[string][]byte, say func(code string, sev finding.Severity, at, sentence, remedy string)) {
	sums, ok := files[SumsName]
	if !ok {
		say("pack_sums_missing", finding.Caution, SumsName, "the list of checksums is missing, so nothing tells whether pack.json is as it was published",
			"compare its SHA-256 with the one that was published: "+p.Sum())
		return
	}
	line, read, expected := firstDifference(sums, p.sums())
	switch {
	case line == 0:
	case strings.HasSuffix(string(expected), "  "+ManifestName):
		say("pack_manifest_changed", finding.Fault, ManifestName,
			fmt.Sprintf("pack.json or the list of checksums was changed: pack.json has SHA-256 %s, line %d of %s is %.100q", p.Sum(), line, SumsName, read),
			"get the pack again from where it was published")
	default:
		say("pack_sums_differ", finding.Caution, SumsName,
			fmt.Sprintf("line %d is %.200q, expected %q as pack.json has it", line, read, expected), "get the pack again from where it was published")
	}
}
