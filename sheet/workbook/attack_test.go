package workbook

import (
	"fmt"
	"strings"
	"testing"
)

// A small file must not make a large one by being read again and again.
func TestAPartIsReadOnce(t *testing.T) {
	p := parts(`<row r="1"><c r="A1" t="s"><v>0</v></c></row>`)
	again := strings.Repeat(`<Relationship Id="x" Type="`+types+`sharedStrings" Target="strings.xml"/><Relationship Id="y" Type="`+types+`styles" Target="styles.xml"/>`, 2000)
	p["xl/_rels/workbook.xml.rels"] = strings.Replace(p["xl/_rels/workbook.xml.rels"], "</Relationships>", again+"</Relationships>", 1)
	p["xl/workbook.xml"] = strings.Replace(p["xl/workbook.xml"], "</sheets>", strings.Repeat(`<sheet name="again" r:id="p"/>`, 2000)+"</sheets>", 1)
	b, err := Open(pack(t, p), limit)
	if err != nil || len(b.Pages) != 1 || len(b.strings) != 3 || len(b.formats) != 4 {
		t.Errorf("%v: %d pages, %d strings, %d styles", err, len(b.Pages), len(b.strings), len(b.formats))
	}
}

func TestMoreStringsOrStylesThanAnyBookHasAreRefused(t *testing.T) {
	const large = 32 << 20
	for name, text := range map[string]string{
		"xl/strings.xml": "<sst>" + strings.Repeat("<si/>", mostStrings+1) + "</sst>",
		"xl/styles.xml":  "<styleSheet><cellXfs>" + strings.Repeat("<xf/>", mostStyles+1) + "</cellXfs></styleSheet>",
	} {
		p := parts("")
		p[name] = text
		if _, err := Open(pack(t, p), large); err == nil || !strings.HasPrefix(err.Error(), name+": it holds ") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Styles share their formats, so a long format is taken apart once.
func TestAFormatIsTakenApartOnce(t *testing.T) {
	p := parts("")
	p["xl/styles.xml"] = `<styleSheet><numFmts><numFmt numFmtId="164" formatCode="` + strings.Repeat("0;", longest/2) + `"/></numFmts><cellXfs>` + strings.Repeat(`<xf numFmtId="164"/>`, 40_000) + `</cellXfs></styleSheet>`
	b, err := Open(pack(t, p), limit)
	if err != nil || len(b.formats) != 40_000 || &b.formats[0][0] != &b.formats[39_999][0] {
		t.Error(err, len(b.formats))
	}
}

// Cells that hold nothing take no room, wherever they stand.
func TestBlankCellsFarOutTakeNoRoom(t *testing.T) {
	b, err := Open(pack(t, parts(strings.Repeat(`<row><c r="A1"><v>1</v></c><c r="XFD1" s="1"/></row>`, 100))), limit)
	if err != nil {
		t.Fatal(err)
	}
	for row, err := range b.Pages[0].Rows {
		if err != nil || len(row.Cells) != 1 || cap(row.Cells) > 8 {
			t.Fatal(err, len(row.Cells), cap(row.Cells))
		}
	}
}

func TestNothingHasNoSign(t *testing.T) {
	for _, raw := range []string{"-0", "-0.0", "-1e-400"} {
		got, err := read(pack(t, parts(fmt.Sprintf(`<row r="1"><c r="A1"><v>%s</v></c><c r="B1" s="2"><v>%[1]s</v></c></row>`, raw))))
		if want := "1/2: A1=0||| B1=0.0 g|||\n"; err != nil || got != want {
			t.Errorf("%s: %q %v, expected %q", raw, got, err, want)
		}
	}
}
