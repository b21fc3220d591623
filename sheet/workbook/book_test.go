package workbook

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"hash/crc32"
	"slices"
	"strings"
	"testing"
)

const (
	limit = 1 << 20
	types = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/"
)

// parts are those of a small book; the page is given.
func parts(page string) map[string]string {
	return map[string]string{
		"_rels/.rels":                `<Relationships><Relationship Id="a" Type="` + types + `officeDocument" Target="xl/workbook.xml"/></Relationships>`,
		"xl/workbook.xml":            `<workbook xmlns:r="` + types + `"><workbookPr/><sheets><sheet name="chart" sheetId="2" r:id="c"/><sheet name="burns" sheetId="1" r:id="p"/></sheets></workbook>`,
		"xl/_rels/workbook.xml.rels": `<Relationships><Relationship Id="p" Type="` + types + `worksheet" Target="pages/one.xml"/><Relationship Id="c" Type="` + types + `chartsheet" Target="chart.xml"/><Relationship Id="s" Type="` + types + `sharedStrings" Target="/xl/strings.xml"/><Relationship Id="f" Type="` + types + `styles" Target="styles.xml"/></Relationships>`,
		"xl/strings.xml":             `<sst count="99999999999"><si><t>entry</t></si><si><r><t>Fe</t></r><r><t xml:space="preserve">rn </t></r><rPh><t>no</t></rPh></si><si/></sst>`,
		"xl/styles.xml":              `<styleSheet><numFmts><numFmt numFmtId="164" formatCode="0.0&quot; g&quot;"/></numFmts><cellXfs><xf numFmtId="0"/><xf numFmtId="20"/><xf numFmtId="164"/><xf numFmtId="14"/></cellXfs></styleSheet>`,
		"xl/pages/one.xml":           `<worksheet><sheetData>` + page + `</sheetData></worksheet>`,
	}
}

func pack(t testing.TB, parts map[string]string) []byte {
	t.Helper()
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for name, text := range parts {
		w, err := z.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write([]byte(text)); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// read reads the only page, as lines of cells that are not blank.
func read(data []byte) (string, error) {
	b, err := Open(data, limit)
	if err != nil {
		return "", err
	}
	var out strings.Builder
	for row, err := range b.Pages[0].Rows {
		if err != nil {
			return out.String(), err
		}
		fmt.Fprintf(&out, "%d/%d:", row.Number, len(row.Cells))
		for _, c := range row.Cells {
			if c != (Cell{}) {
				fmt.Fprintf(&out, " %s=%s|%s|%s|%s", c.Name, c.Text, c.Held, c.Day, c.Formula)
			}
		}
		out.WriteByte('\n')
	}
	return out.String(), nil
}

func TestEveryKindOfCellIsRead(t *testing.T) {
	got, err := read(pack(t, parts(`
<row r="2"><c r="B2" t="s"><v>0</v></c><c r="D2" t="s"><v>1</v></c><c r="XFD2" s="1"/></row>
<row><c t="inlineStr"><is><t>a_x000D_
b</t></is></c><c/><c t="b"><v>1</v></c><c t="e"><v>#DIV/0!</v></c><c t="str"><f>A1</f><v>x</v></c></row>
<row r="9"><c r="A9"><v>0.30000000000000004</v></c><c r="B9" s="1"><v>0.3</v></c><c r="C9" s="2"><v>14.93</v></c><c r="D9" s="3"><v>45415</v></c><c r="E9" t="d"><v>2024-05-03T10:00:00</v></c><c r="F9" s="77"><v>1e3</v></c></row>
<row r="10"><c r="A10"><f t="shared" ref="A10:A11" si="0">B10*2</f><v>4</v></c><c r="B10"><f>NOW()</f></c></row>
<row r="11"><c r="A11"><f t="shared" si="0"/></c></row>
<row r="12"/>`)))
	want := `2/4: B2=entry||| D2=Fern |||
3/5: A3=a
b||| C3=TRUE||| D3=#DIV/0!||| E3=x|||A1
9/6: A9=0.3||| B9=7:12||1899-12-30| C9=14.9 g|14.93 g|| D9=05-03-24||2024-05-03| E9=2024-05-03T10:00:00||2024-05-03| F9=1000|||
10/2: A10=4|||B10*2 B10=|||NOW()
11/1: A11=|||B10*2
12/0:
`
	if err != nil || got != want {
		t.Errorf("got %v\n%s\nexpected\n%s", err, got, want)
	}
}

func TestABookThatCountsFrom1904(t *testing.T) {
	p := parts(`<row><c s="3"><v>43953</v></c></row>`)
	p["xl/workbook.xml"] = strings.Replace(p["xl/workbook.xml"], "<workbookPr/>", `<workbookPr date1904="1"/>`, 1)
	if got, err := read(pack(t, p)); err != nil || !strings.Contains(got, "|2024-05-03|") {
		t.Errorf("%q %v", got, err)
	}
}

func TestBrokenBooksAreRefused(t *testing.T) {
	without := func(name string) map[string]string {
		p := parts("")
		delete(p, name)
		return p
	}
	noStrings := parts(`<row><c r="A1" t="s"><v>0</v></c></row>`)
	delete(noStrings, "xl/strings.xml")
	other := func(name, text string) map[string]string {
		p := parts("")
		p[name] = text
		return p
	}
	for _, row := range []struct {
		parts map[string]string
		want  string
	}{
		{without("_rels/.rels"), "it lacks the part _rels/.rels"},
		{without("xl/workbook.xml"), "it lacks the part xl/workbook.xml"},
		{without("xl/_rels/workbook.xml.rels"), "it lacks the part xl/_rels/workbook.xml.rels"},
		{without("xl/pages/one.xml"), "it lacks the part xl/pages/one.xml"},
		{other("_rels/.rels", "<Relationships/>"), "it names no workbook"},
		{other("xl/styles.xml", "<styleSheet>"), "xl/styles.xml: XML syntax error on line 1: unexpected EOF"},
		{other("xl/strings.xml", strings.Repeat("<a>", 1000)), "xl/strings.xml: elements nest more than 64 deep"},
		{other("xl/pages/one.xml", strings.Repeat("<a>", 1000)), "elements nest more than 64 deep"},
		{other("xl/pages/one.xml", `<worksheet><row r="1"><c r="A1"><v>1</v></c></row><row r="2"><c r="A2">`), "XML syntax error on line 1: unexpected EOF"},
		{noStrings, `cell "A1" names string "0" of 0`},
		{parts(`<row><c t="s"><v>-1</v></c></row>`), `cell "" names string "-1" of 3`},
		{parts(`<row><c r="A1" t="s"><v>3</v></c></row>`), `cell "A1" names string "3" of 3`},
		{parts(`<row><c r="B1"><v>1</v></c><c r="A1"><v>1</v></c></row>`), `cell "A1" follows column 2, and 16384 are the most`},
		{parts(`<row><c r="XFE1"><v>1</v></c></row>`), `cell "XFE1" follows column 0, and 16384 are the most`},
		{parts(`<row><c r="ZZZZZZZZZZZZZZZZ1"><v>1</v></c></row>`), `cell "ZZZZZZZZZZZZZZZZ1" follows column 0, and 16384 are the most`},
		{parts(`<row><c r="ä1"/></row>`), `cell "ä1" follows column 0, and 16384 are the most`},
		{parts(`<row>` + strings.Repeat("<c/>", widest+1) + `</row>`), `cell "" follows column 16384, and 16384 are the most`},
		{parts(`<row r="2"/><row r="2"/>`), `row "2" follows row 2`},
		{parts(`<row r="x"/>`), `row "x" follows row 0`},
		{other("xl/large.bin", strings.Repeat(" ", limit)), "unpacked it is larger than the limit of"},
	} {
		_, err := read(pack(t, row.parts))
		if err == nil || !strings.HasPrefix(err.Error(), row.want) {
			t.Errorf("got %v, expected %s", err, row.want)
		}
	}
	if _, err := Open([]byte("entry,boil\n"), limit); !errors.Is(err, zip.ErrFormat) {
		t.Errorf("no zip: %v", err)
	}
}

// A part must not unpack to more than the file says, whatever the file says.
func TestAPartThatLiesAboutItsSizeIsRefused(t *testing.T) {
	for _, name := range []string{"xl/strings.xml", "xl/pages/one.xml"} {
		honest := pack(t, parts(`<row><c r="A1"><v>1</v></c></row>`+strings.Repeat(" ", limit/2)))
		old, err := zip.NewReader(bytes.NewReader(honest), int64(len(honest)))
		if err != nil {
			t.Fatal(err)
		}
		var out bytes.Buffer
		z := zip.NewWriter(&out)
		for _, f := range old.File {
			if f.Name == name {
				f.UncompressedSize64, f.CRC32 = 10, crc32.ChecksumIEEE(nil)
			}
			if err := z.Copy(f); err != nil {
				t.Fatal(err)
			}
		}
		if err := z.Close(); err != nil {
			t.Fatal(err)
		}
		if got, err := read(out.Bytes()); !errors.Is(err, zip.ErrFormat) || len(got) > 100 {
			t.Errorf("%s: %q %v, expected %v", name, got, err, zip.ErrFormat)
		}
	}
}

// Whatever a page says, it is read or refused, in order.
func FuzzPage(f *testing.F) {
	f.Add(`<row r="1"><c r="A1" t="s"><v>1</v></c><c r="C1" s="2"><f>A1</f><v>3</v></c></row>`)
	f.Add(`<row><c t="inlineStr"><is><t>a</t></is></c><c s="1"><v>0.3</v></c></row><row r="7"/>`)
	f.Fuzz(func(t *testing.T, page string) {
		b, err := Open(pack(t, parts(page)), limit)
		if err != nil || !slices.ContainsFunc(b.Pages, func(p Page) bool { return p.Name == "burns" }) {
			return
		}
		last := 0
		for row, err := range b.Pages[0].Rows {
			if err != nil {
				return
			}
			if row.Number <= last || len(row.Cells) > widest {
				t.Errorf("row %d of %d cells after row %d", row.Number, len(row.Cells), last)
			}
			last = row.Number
		}
	})
}
