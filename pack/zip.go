package pack

import (
	"archive/zip"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"strings"

	"fairburn/finding"
)

// WriteZip writes the pack as a zip with the files in the order of their paths,
// all dated as the pack is. One build of the program writes the same bytes each time.
func (p *Pack) WriteZip(w io.Writer) error {
	z := zip.NewWriter(w)
	for _, f := range p.All() {
		h := &zip.FileHeader{Name: f.Path, Method: zip.Deflate, Modified: p.Made}
		h.SetMode(0o644)
		one, err := z.CreateHeader(h)
		if err != nil {
			return fmt.Errorf("packing %s: %w", f.Path, err)
		}
		if _, err := one.Write(f.Data); err != nil {
			return fmt.Errorf("packing %s: %w", f.Path, err)
		}
	}
	if err := z.Close(); err != nil {
		return fmt.Errorf("packing %q: %w", p.Title, err)
	}
	return nil
}

// ReadZip reads a pack from a zip of size bytes, as Read does. The files may lie
// in one folder, as they do where someone packed a folder again.
func ReadZip(r io.ReaderAt, size int64, l Limits) (*Pack, []finding.Finding, error) {
	if size > l.Total {
		return nil, nil, fmt.Errorf("%w: it has %d bytes, expected at most %d", ErrRefused, size, l.Total)
	}
	list := &metered{r, int64(l.Files)*listed + 1<<17}
	z, err := zip.NewReader(list, size)
	switch {
	case list.left < 0:
		return nil, nil, fmt.Errorf("%w: its list of files is longer than %d files need", ErrRefused, l.Files)
	case err != nil && !errors.Is(err, zip.ErrInsecurePath): // such a path is named below
		return nil, nil, fmt.Errorf("%w: it is no zip (%w); give the folder or the .zip that was published", ErrNoPack, err)
	}
	list.left = math.MaxInt64
	var ms []member
	for _, f := range z.File {
		m := member{path: f.Name, mode: f.Mode(), bytes: f.UncompressedSize64, packed: f.CompressedSize64, open: f.Open}
		if m.mode.IsDir() {
			m.path = strings.TrimSuffix(m.path, "/")
		}
		ms = append(ms, m)
	}
	return read(unwrapped(ms), l)
}

// listed is the most bytes that the list at the end of a zip needs for a file
// with a name of the longest kind.
const listed = 512

// metered is a zip of which only so much may be read: the library takes the whole
// list of files into memory, whatever its length.
type metered struct {
	io.ReaderAt
	left int64
}

func (m *metered) ReadAt(p []byte, at int64) (int, error) {
	if m.left -= int64(len(p)); m.left < 0 {
		return 0, io.ErrUnexpectedEOF
	}
	return m.ReaderAt.ReadAt(p, at)
}

// unwrapped takes off the one folder that all files lie in, if that is where
// pack.json is.
func unwrapped(ms []member) []member {
	top := ""
	for _, m := range ms {
		if folder, ok := strings.CutSuffix(m.path, "/"+ManifestName); ok && !strings.Contains(folder, "/") {
			top = folder
		}
	}
	if top == "" {
		return ms
	}
	var inner []member
	for _, m := range ms {
		rest, inside := strings.CutPrefix(m.path, top+"/")
		switch {
		case inside:
			m.path = rest
			inner = append(inner, m)
		case m.path != top || m.mode.Type() != fs.ModeDir:
			return ms
		}
	}
	return inner
}
