// Package pack is a published test as files: what lies in it, which edition it
// is, what it takes the place of, and checksums by which anyone can see that
// nothing was changed or lost on the way.
//
// A pack is a folder, or the same folder as a zip. Beside the files that were
// published stand pack.json, the manifest, and SHA256SUMS, which the usual
// command reads ("sha256sum -c SHA256SUMS"). The checksum of the manifest names
// the edition. Checksums find accidents and tell editions apart; they are no
// signature, since whoever changes a file can count them anew.
//
// It touches no disk: New makes files, Read takes an fs.FS, ReadZip the bytes of
// a zip. What is read is taken to come from someone who means harm: a name that
// climbs out, a link, a bomb, two files with one name, and the whole pack is
// refused. It refuses to guess: a file that was changed is named with both
// checksums and left out, never read anyhow.
//
// Read pack.go, manifest.go (what the manifest says), edition.go (what changed),
// name.go (which names are taken), zip.go, read.go (limits and checks), refuse.go.
package pack

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"slices"
	"sort"
	"strings"
	"time"
)

// The files that every pack has beside those that were published.
const (
	ManifestName = "pack.json"
	SumsName     = "SHA256SUMS"
)

// File is one file of a pack.
type File struct {
	Path string // from the root of the pack, with slashes: "data/burns.csv"
	Data []byte
	Says string // what it is, in a few words; "" for pack.json and SHA256SUMS
}

// Pack is a manifest with the files that it lists, in the order of their paths.
type Pack struct {
	Manifest
	Files []File

	manifest []byte // pack.json as it stands
}

// About is what a publisher says of a pack.
type About struct {
	Tool     string // and its version: "fairburn 0.5"
	Title    string // of the trial
	Invented bool   // the data are a made-up example
	Made     time.Time
	// From lists the sheet or the records that the figures came from.
	From []Source
	// Earlier is the edition that this one takes the place of; nil for a first one.
	Earlier *Pack
	// Changed says in words what changed since then.
	Changed []string
}

// New makes a pack. The same files and the same words give the same bytes. It is
// an error if a path could not be read again (Read's rules hold here too), if two
// paths are one but for the case of their letters, or if the pack is dated
// before the edition that it takes the place of.
func New(a About, files []File) (*Pack, error) {
	files = slices.Clone(files)
	sort.SliceStable(files, func(i, j int) bool { return files[i].Path < files[j].Path })
	m, err := newManifest(a)
	if err != nil {
		return nil, err
	}
	for _, f := range files {
		m.List = append(m.List, Listed{Path: f.Path, Bytes: int64(len(f.Data)), SHA256: sum(f.Data), Says: oneLine(f.Says)})
	}
	m.supersede(a.Earlier)
	if err := m.check(); err != nil {
		return nil, err
	}
	for i := range files {
		files[i].Says = m.List[i].Says
	}
	return &Pack{Manifest: m, Files: files, manifest: m.encode()}, nil
}

// Sum is the SHA-256 of pack.json, in hexadecimal: the name of this edition.
func (p *Pack) Sum() string { return sum(p.manifest) }

// All returns every file to be written, pack.json and SHA256SUMS too, in the
// order of their paths.
func (p *Pack) All() []File {
	all := append(slices.Clone(p.Files),
		File{Path: ManifestName, Data: p.manifest},
		File{Path: SumsName, Data: p.sums()})
	sort.SliceStable(all, func(i, j int) bool { return all[i].Path < all[j].Path })
	return all
}

// File returns the file with that path, and false when the pack has none, or
// has one that was changed.
func (p *Pack) File(path string) (File, bool) {
	i := slices.IndexFunc(p.Files, func(f File) bool { return f.Path == path })
	if i < 0 {
		return File{}, false
	}
	return p.Files[i], true
}

// sums writes SHA256SUMS: the checksum, two spaces and the path, a line for
// each file but itself, as the usual command writes and reads it.
func (p *Pack) sums() []byte {
	lines := []string{sum(p.manifest) + "  " + ManifestName}
	for _, f := range p.List {
		lines = append(lines, f.SHA256+"  "+f.Path)
	}
	slices.SortFunc(lines, func(a, b string) int { return cmp.Compare(a[64:], b[64:]) })
	return []byte(strings.Join(lines, "\n") + "\n")
}

func sum(data []byte) string {
	h := sha256.Sum256(data)
	return hex.EncodeToString(h[:])
}

// The errors of reading. What was wrong with it stands in the findings.
var (
	// ErrNoPack: there is no pack.json, or what is there is no manifest.
	ErrNoPack = errors.New("this is no pack")
	// ErrNewer: the pack was written for a version that this program does not know.
	ErrNewer = errors.New("the pack is newer than this program")
	// ErrRefused: something in it is what no pack has, so nothing of it was taken.
	ErrRefused = errors.New("the pack was refused")
)
