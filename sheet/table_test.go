package sheet

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/quantity"
	"fairburn/trial"
)

// lines of findings, for exact messages.
func messages(fs []finding.Finding) string {
	var s []string
	for _, f := range fs {
		s = append(s, f.String())
	}
	return strings.Join(s, "\n")
}

func TestTablesInManyForms(t *testing.T) {
	want := "1 Fern 500 g 18.3 °C 7m12s 14.9 g|2 Reed 501 g 18.4 °C 8m1.5s missing"
	for name, text := range map[string]string{
		"commas":            "id,entry,water_g,start_C,boil,poured_g\n1,Fern,500,18.3,7:12,14.9\n2,Reed,501,18.4,8:01.5,\n",
		"byte order mark":   "\ufeffid,entry,water_g,start_C,boil,poured_g\r\n1,Fern,500,18.3,7:12,14.9\r\n2,Reed,501,18.4,8:01.5,-\r\n",
		"tabs":              "id\tentry\twater_g\tstart_C\tboil\tpoured_g\n1\tFern\t500\t18.3\t7:12\t14.9\n2\tReed\t501\t18.4\t8:01.5\tn/a\n",
		"units in brackets": "Entry,Water [g],start (°C),boil [m:ss],Poured [ g ]\nFern,500,18.3,7:12,14.9\nReed,501,18.4,8:01.5,–\n",
		"units in cells":    "entry,water,start,boil,poured\nFern,500 g,18.3 °C,7:12,14.9 g\nReed,501 g,18.4 °C,8:01.5,\n",
		"seconds":           "entry,water_g,start_C,boil_s,poured_g\nFern,500,18.3,432,14.9\n\n\"Reed\",501,18.4,481.5\n",
		"other order":       "poured_g,boil,start_C,water_g,entry,,id\n,8:01.5,18.4,501,Reed,,2\n14.9,7:12,18.3,500,Fern,,1\n",
	} {
		got, fs, err := Read(name+".csv", []byte(text))
		if err != nil || len(fs) > 0 {
			t.Errorf("%s: %v %v", name, fs, err)
			continue
		}
		if s := inShort(got); s != want {
			t.Errorf("%s: got %s", name, s)
		}
		if len(got.Entries) != 2 || got.Title != name {
			t.Errorf("%s: entries %v, title %q", name, got.Entries, got.Title)
		}
	}
}

func inShort(t *trial.Trial) string {
	var s []string
	for _, b := range t.Burns {
		poured := b.Fuel.Poured.Text
		if !b.Fuel.Poured.Given {
			poured = "missing"
		}
		s = append(s, fmt.Sprintln(b.ID, b.Entry, b.Water.Mass.Text, b.Water.Start.Text, b.Marks[burn.Boil].Value, poured))
	}
	return strings.TrimSpace(strings.ReplaceAll(strings.Join(s, "|"), "\n", ""))
}

func TestDecimalCommasAreReadAndSaid(t *testing.T) {
	got, fs, err := Read("herbst.csv", []byte("entry;water_g;start_C;boil\nFern;500,5;18,3 °C;7:12\nReed;1,234;\"-1,5\";7:12\n"))
	if err != nil {
		t.Fatal(err)
	}
	if m := messages(fs); m != `herbst.csv:2:6: note: read "500,5" as 500.5: the columns are not separated by commas, so a comma is the decimal mark in the whole table` {
		t.Error(m)
	}
	if got.Burns[0].Water.Mass.Text != "500.5 g" || got.Burns[0].Water.Start.Text != "18.3 °C" || got.Burns[1].Water.Mass.Text != "1.234 g" || got.Burns[1].Water.Start.Text != "-1.5 °C" {
		t.Errorf("%+v", got.Burns)
	}
}

func TestFaultsOfATable(t *testing.T) {
	for _, row := range []struct{ name, text, want string }{
		{"unknown column", "entry,strat_C,barometer\nFern,18,985\n", "x.csv:1:7: fault: the column \"strat_C\" is not known; did you mean start?\nx.csv:1:15: fault: the column \"barometer\" is not known; leave it out, or look it up in the list of keys, docs/sheet.md or, for a trip, docs/trip.md"},
		{"column twice", "entry,water_g,water [mL]\nFern,500,500\n", "x.csv:1:15: burn.water: fault: the column \"water [mL]\" says the same as \"water_g\" before it; keep one of them; the first was read"},
		{"no unit", "entry,water\nFern,500\n", "x.csv:2:6: burn 1: burn.water: fault: read \"500\", expected water: a volume in mL or fl oz, or a mass in g, kg, mg, oz or lb; add the unit, such as 500 g"},
		{"bare ounce", "entry,dose_oz\nFern,1\n", "x.csv:2:6: burn 1: burn.dose: fault: read \"1 oz\", expected a dose by mass (g, oz mass) or by volume (mL, fl oz); oz can be read two ways: 1 oz of mass is 28.3 g, 1 US fl oz is 29.6 mL; write \"1 oz mass\" or \"1 US fl oz\""},
		{"decimal comma among commas", "entry,water_g\nFern,\"500,5\"\n", "x.csv:2:6: burn 1: burn.water: fault: read \"500,5 g\", expected water by mass (g, oz mass) or by volume (mL, fl oz); use a decimal point: \"500.5 g\""},
		{"cell too many", "entry,water_g\nFern,500,3\n", "x.csv:2:10: fault: read \"3\", which stands under no header; name the column in the first row, or look for a separator too many"},
		{"quote", "entry,notes\nFern,the \"fan\" fell\nReed,still\n", "x.csv:2:10: fault: the row cannot be read: bare \" in non-quoted-field; close the quotes, and write \" inside a quoted cell as \"\"; the row was left out"},
		{"time of day", "entry,boil\nFern,14:10:32\n", "x.csv:2:6: burn 1: burn.boil: fault: read \"14:10:32\", expected a time from light, as minutes:seconds; for times of day write light as one too, such as 14:03:20"},
		{"place after letters", "entry,notes,water_g\nFärn,»größer«,x\n", "x.csv:2:15: burn 1: burn.water: fault: read \"x\", expected water by mass (g, oz mass) or by volume (mL, fl oz); a number must come first, in digits"},
	} {
		_, fs, err := Read("x.csv", []byte(row.text))
		if got := messages(fs); got != row.want || err != nil {
			t.Errorf("%s: got\n%s\n%v", row.name, got, err)
		}
	}
}

func TestTablesThatCannotBeUsed(t *testing.T) {
	many := "entry,water_g\n" + strings.Repeat("Fern,500\n", mostRows)
	if _, _, err := Read("x.csv", []byte(many)); err != nil {
		t.Error(err)
	}
	for _, row := range []struct{ text, want string }{
		{"", "x.csv: the file cannot be used: it is empty"},
		{"some prose\nand more\n", "x.csv: the file cannot be used: no column of its first row is known; name them after the keys of a burn, such as entry, water_g, start_C, boil"},
		{"entry,\xe9\n", "x.csv:1:7: the file cannot be used: byte 0xE9 is no UTF-8; save the file as text in UTF-8"},
		{many + "Fern,500\n", "x.csv: the file cannot be used: it has more than 10000 burns; split it"},
		{strings.Repeat("entry,", mostColumns) + "entry\n", "x.csv: the file cannot be used: row 1 has 201 columns, and at most 200 are read"},
		{strings.Repeat("x", MaxSize+1), "x.csv: the file cannot be used: it holds 5.0 MB, and at most 5 MB are read; a sheet of a hundred burns has about 0.1 MB"},
	} {
		if _, _, err := Read("x.csv", []byte(row.text)); err == nil || err.Error() != row.want {
			t.Errorf("%.30q: got %v", row.text, err)
		}
	}
}

func TestATableIntoATrial(t *testing.T) {
	sheet, _, err := Read("x.toml", []byte("fairburn = 1\n[settings]\nunits = \"us\"\n[[entry]]\nname = \"Fern\"\n[[burn]]\nid = 1\nentry = \"Fern\"\n"))
	if err != nil {
		t.Fatal(err)
	}
	got, fs, err := ReadTable("day2.csv", []byte("entry,dose,levels.wind,poured_g,poured.with,faults,failures,left,light,boil\nFern,1 fl oz,fan low,14.9,kitchen scale,spill at 3:20; relit,uneven; starved,nothing seen,14:03:20,14:10:32\nFren,30 mL,,,,,,2 g,,\n"), sheet)
	if err != nil || len(fs) > 0 {
		t.Fatal(fs, err)
	}
	if len(got.Burns) != 3 || len(got.Entries) != 1 {
		t.Fatalf("%d burns, entries %v: a misspelt entry is for the trial's own check", len(got.Burns), got.Entries)
	}
	b := got.Burns[1]
	spill := quantity.Reading[time.Duration]{Value: 200 * time.Second, Text: "3:20", Unit: "m:ss", Step: 1, Given: true}
	if b.ID != "2" || b.Fuel.DoseVolume.Value != quantity.USFluidOunce || b.Levels["wind"] != "fan low" || b.Fuel.Poured.Instrument != "kitchen scale" ||
		len(b.Faults) != 2 || b.Faults[0] != (burn.Fault{Kind: burn.Spill, At: spill}) || b.Faults[1].Kind != burn.Relit || b.Faults[1].At.Given ||
		len(b.Failures) != 2 || !b.Fuel.LeftNothing || b.Marks[burn.Boil].Value != 432*time.Second || b.Where.Line != 2 || b.Where.File != "day2.csv" {
		t.Errorf("%+v", b)
	}
}

func TestTheTableAsWritten(t *testing.T) {
	tr, fs, err := Read("x.toml", []byte("fairburn = 1\n[[burn]]\nid = 2\nentry = \"Reed\"\npoured = \"14.9 g\"\nwater = \"2 US cups\"\nnotes = \"=1+1\"\nair = \"-5 °C\"\n[[burn]]\nid = 1\nentry = \"Fern\"\npoured = \"15.00 g\"\nwater = \"500 g\"\nboil = \"7:12\"\nnotes = \"windy, \\\"cold\\\"\"\nair = \"3 °C\"\nlevels = { wind = \"low\" }\nleft = { read = \"2.1 g\", with = \"scale\" }\nfaults = [{ what = \"spill\", at = \"3:20\" }, { what = \"relit\" }]\n"))
	if err != nil || len(fs) > 0 {
		t.Fatal(fs, err)
	}
	got, err := WriteTable(tr)
	want := "id,entry,levels.wind,poured [g],left [g],left.with,water,air [°C],boil,faults,notes\n" +
		"1,Fern,low,15.00,2.1,scale,500 g,3,7:12,spill at 3:20; relit,\"windy, \"\"cold\"\"\"\n" +
		"2,Reed,,14.9,,,2 US cups,-5,,,'=1+1\n"
	if err != nil || string(got) != want {
		t.Errorf("got\n%s%v", got, err)
	}
}
