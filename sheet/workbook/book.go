// Package workbook reads the pages of XLSX files: each cell as it is shown, and
// what a number holds where its format hides digits.
//
// It computes no formula and opens no password. It refuses files that unpack to
// more than a limit, that nest deeper than any program writes, and pages whose
// rows or cells do not stand in order.
//
// Read book.go, then page.go and format.go.
//
// Source: ECMA-376-1:2016, Office Open XML File Formats, Part 1: 18.2 workbook,
// 18.3 worksheet, 18.4 shared strings, 18.8 styles.
package workbook

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"maps"
	"path"
	"strings"
	"time"
)

// ErrLarge is wrapped when a file unpacks to more than the limit.
var ErrLarge = errors.New("unpacked it is larger than the limit")

const (
	deepest     = 64      // how far elements may nest; programs write to about ten
	mostStrings = 1 << 18 // that cells name by number
	mostStyles  = 1 << 16 // of cells; programs allow 65,490
)

// Book is a workbook whose pages can be read.
type Book struct {
	Pages []Page // of cells, in order; charts are left out

	parts   map[string]*zip.File
	strings []string // those that cells name by number
	formats []format // of each cell style
	start   time.Time
}

// relation is a link from one part of the file to another.
type relation struct {
	ID     string `xml:"Id,attr"`
	Type   string `xml:"Type,attr"`
	Target string `xml:"Target,attr"`
}

// Open reads what all pages share. limit is the size in bytes that all parts
// may have together when unpacked; a part that unpacks to more than the file
// says is an error when it is read.
func Open(data []byte, limit uint64) (*Book, error) {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, err
	}
	b := &Book{parts: map[string]*zip.File{}, start: time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)}
	for _, f := range z.File {
		if f.UncompressedSize64 > limit {
			return nil, fmt.Errorf("%w of %d bytes", ErrLarge, limit)
		}
		limit -= f.UncompressedSize64
		b.parts[strings.TrimPrefix(f.Name, "/")] = f
	}
	links, err := b.relations("")
	if err != nil {
		return nil, err
	}
	for _, l := range links {
		if path.Base(l.Type) == "officeDocument" {
			return b, b.contents(l.Target)
		}
	}
	return nil, errors.New("it names no workbook")
}

// contents reads the list of pages, and the strings and styles of their cells.
func (b *Book) contents(main string) error {
	var book struct {
		Properties struct {
			From1904 bool `xml:"date1904,attr"`
		} `xml:"workbookPr"`
		Pages []struct {
			Name string `xml:"name,attr"`
			Link string `xml:"id,attr"`
		} `xml:"sheets>sheet"`
	}
	if err := b.read(main, &book); err != nil {
		return err
	}
	if book.Properties.From1904 {
		b.start = time.Date(1904, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	links, err := b.relations(main)
	if err != nil {
		return err
	}
	pages, read := map[string]string{}, map[string]bool{}
	for _, l := range links {
		kind, here := path.Base(l.Type), b.parts[l.Target] != nil
		switch {
		case kind != "worksheet" && read[kind]: // a second list of strings or styles is none of this book's
			continue
		case kind == "worksheet":
			pages[l.ID] = l.Target
		case kind == "sharedStrings" && here: // some programs name it where no cell needs it
			err = b.readStrings(l.Target)
		case kind == "styles" && here:
			err = b.readStyles(l.Target)
		}
		read[kind] = read[kind] || here
		if err != nil {
			return err
		}
	}
	for _, p := range book.Pages {
		if part := pages[p.Link]; part != "" && !read[part] { // each part is a page once
			read[part] = true
			b.Pages = append(b.Pages, Page{Name: p.Name, book: b, part: part})
		}
	}
	return nil
}

// relations are the links of a part, or of the whole file where part is empty.
// Targets come out as names of parts.
func (b *Book) relations(part string) ([]relation, error) {
	dir, name := path.Split(part)
	var list struct {
		Links []relation `xml:"Relationship"`
	}
	if err := b.read(dir+"_rels/"+name+".rels", &list); err != nil {
		return nil, err
	}
	for i, l := range list.Links {
		if !strings.HasPrefix(l.Target, "/") {
			l.Target = dir + l.Target
		}
		list.Links[i].Target = strings.TrimPrefix(path.Clean(l.Target), "/")
	}
	return list.Links, nil
}

func (b *Book) readStrings(part string) error {
	f, err := b.open(part)
	if err != nil {
		return err
	}
	defer f.Close()
	in := elements(f)
	for {
		token, err := in.Token()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if el, ok := token.(xml.StartElement); ok && err == nil && el.Name.Local == "si" {
			var t text
			err = in.DecodeElement(&t, &el)
			b.strings = append(b.strings, t.String())
		}
		if err == nil && len(b.strings) > mostStrings {
			err = fmt.Errorf("it holds more than %d strings", mostStrings)
		}
		if err != nil {
			return fmt.Errorf("%s: %w", part, err)
		}
	}
}

func (b *Book) readStyles(part string) error {
	var styles struct {
		Formats []struct {
			ID   int    `xml:"numFmtId,attr"`
			Code string `xml:"formatCode,attr"`
		} `xml:"numFmts>numFmt"`
		Cells []struct {
			Format int `xml:"numFmtId,attr"`
		} `xml:"cellXfs>xf"`
	}
	if err := b.read(part, &styles); err != nil {
		return err
	}
	if n := len(styles.Cells); n > mostStyles {
		return fmt.Errorf("%s: it holds %d styles, and %d are the most", part, n, mostStyles)
	}
	codes := maps.Clone(builtIn)
	for _, f := range styles.Formats {
		codes[f.ID] = f.Code
	}
	parsed := map[int]format{} // many styles share a format
	for _, c := range styles.Cells {
		f, ok := parsed[c.Format]
		if !ok {
			f = parse(codes[c.Format])
			parsed[c.Format] = f
		}
		b.formats = append(b.formats, f)
	}
	return nil
}

// text is a string, whole or in runs that look different.
type text struct {
	Plain string `xml:"t"`
	Runs  []struct {
		Text string `xml:"t"`
	} `xml:"r"`
}

func (t text) String() string {
	all := t.Plain
	for _, r := range t.Runs {
		all += r.Text
	}
	return strings.ReplaceAll(all, "_x000D_", "") // a carriage return, as it is written there
}

// read decodes a whole part.
func (b *Book) read(part string, into any) error {
	f, err := b.open(part)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := elements(f).Decode(into); err != nil {
		return fmt.Errorf("%s: %w", part, err)
	}
	return nil
}

func (b *Book) open(part string) (io.ReadCloser, error) {
	f := b.parts[part]
	if f == nil {
		return nil, fmt.Errorf("it lacks the part %s", part)
	}
	return f.Open()
}

// elements reads XML that nests no deeper than deepest: each level takes memory.
func elements(r io.Reader) *xml.Decoder { return xml.NewTokenDecoder(&shallow{in: xml.NewDecoder(r)}) }

type shallow struct {
	in    *xml.Decoder
	depth int
}

func (s *shallow) Token() (xml.Token, error) {
	token, err := s.in.Token()
	switch token.(type) {
	case xml.StartElement:
		s.depth++
	case xml.EndElement:
		s.depth--
	}
	if s.depth > deepest {
		return nil, fmt.Errorf("elements nest more than %d deep", deepest)
	}
	return token, err
}
