package dataset

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"testing"

	"github.com/parquet-go/parquet-go"
	"pgregory.net/rapid"
)

// same reads a Parquet file with an independent library and compares every cell,
// type and count.
func same(t interface{ Errorf(string, ...any) }, x table, data []byte) {
	f, err := parquet.OpenFile(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Errorf("%s: %v", x.name, err)
		return
	}
	if int(f.NumRows()) != len(x.rows) || len(f.Root().Columns()) != len(x.fields) {
		t.Errorf("%s: %d rows of %d columns, want %d of %d", x.name, f.NumRows(), len(f.Root().Columns()), len(x.rows), len(x.fields))
		return
	}
	for i, c := range f.Root().Columns() {
		want := map[kind]string{text: "STRING", decimal: "DOUBLE", integer: "INT64", boolean: "BOOLEAN"}[x.fields[i].kind]
		if c.Name() != x.fields[i].name || c.Type().String() != want || !c.Optional() {
			t.Errorf("%s: column %s %v, want %s %s, optional", x.name, c.Name(), c.Type(), x.fields[i].name, want)
		}
	}
	at := 0
	for _, g := range f.RowGroups() {
		rows := g.Rows()
		batch := make([]parquet.Row, 100)
		for {
			n, err := rows.ReadRows(batch)
			for _, row := range batch[:n] {
				sameRow(t, x, at, row)
				at++
			}
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Errorf("%s: row %d: %v", x.name, at, err)
				return
			}
		}
		if err := rows.Close(); err != nil {
			t.Errorf("%s: %v", x.name, err)
		}
	}
	if at != len(x.rows) {
		t.Errorf("%s: %d rows read, want %d", x.name, at, len(x.rows))
	}
	nulls(t, x, f)
}

func sameRow(t interface{ Errorf(string, ...any) }, x table, at int, row parquet.Row) {
	if len(row) != len(x.fields) {
		t.Errorf("%s: row %d has %d cells, want %d", x.name, at, len(row), len(x.fields))
		return
	}
	for i, v := range row {
		var got any
		switch {
		case v.IsNull():
		case x.fields[i].kind == text:
			got = string(v.ByteArray())
		case x.fields[i].kind == decimal:
			got = v.Double()
		case x.fields[i].kind == integer:
			got = v.Int64()
		default:
			got = v.Boolean()
		}
		if want := x.rows[at][i]; got != want {
			t.Errorf("%s: row %d, %s: got %#v, want %#v", x.name, at, x.fields[i].name, got, want)
		}
	}
}

// nulls compares the counts of missing values in the file's metadata.
func nulls(t interface{ Errorf(string, ...any) }, x table, f *parquet.File) {
	for _, g := range f.Metadata().RowGroups {
		for i, c := range g.Columns {
			n := int64(0)
			for _, row := range x.rows {
				if row[i] == nil {
					n++
				}
			}
			if c.MetaData.Statistics.NullCount != n {
				t.Errorf("%s: %s has %d nulls by its statistics, want %d", x.name, x.fields[i].name, c.MetaData.Statistics.NullCount, n)
			}
		}
	}
}

func TestParquetIsReadByAnotherLibrary(t *testing.T) {
	for _, s := range samples() {
		files := s.files(t, everything)
		for name, x := range s.tables(t, everything) {
			data := files[Folder+"/"+name+".parquet"].Data
			same(t, x, data)
			f, err := parquet.OpenFile(bytes.NewReader(data), int64(len(data)))
			if err != nil {
				t.Fatal(err)
			}
			var schema tableSchema
			if kept, ok := f.Lookup("table_schema"); !ok || json.Unmarshal([]byte(kept), &schema) != nil || len(schema.Fields) != len(x.fields) {
				t.Errorf("%s %s: the table's schema is not in its Parquet file", s.name, name)
			}
		}
	}
}

// TestAnyTableIsReadBack: tables of any shape and content, nulls in any order.
func TestAnyTableIsReadBack(t *testing.T) {
	cells := map[kind]*rapid.Generator[any]{
		text:    rapid.String().AsAny(),
		decimal: rapid.Float64().Filter(func(x float64) bool { return !math.IsNaN(x) }).AsAny(),
		integer: rapid.Int64().AsAny(),
		boolean: rapid.Bool().AsAny(),
	}
	kinds := []kind{text, decimal, integer, boolean}
	rapid.Check(t, func(t *rapid.T) {
		x := table{name: "any"}
		for i := range rapid.IntRange(1, 20).Draw(t, "columns") { // 15 and more take another head of list
			x.fields = append(x.fields, field{name: fmt.Sprintf("c%d", i), kind: rapid.SampledFrom(kinds).Draw(t, "kind")})
		}
		missing := rapid.IntRange(0, 4).Draw(t, "missing")
		for range rapid.IntRange(0, 40).Draw(t, "rows") {
			row := make([]any, len(x.fields))
			for i, f := range x.fields {
				if rapid.IntRange(0, 4).Draw(t, "here") >= missing {
					row[i] = cells[f.kind].Draw(t, "cell")
				}
			}
			x.rows = append(x.rows, row)
		}
		data, err := x.parquet()
		if err != nil {
			t.Fatal(err)
		}
		same(t, x, data)
	})
}

// TestPagesAreJoined: more rows than a page holds, on both sides of the limit.
func TestPagesAreJoined(t *testing.T) {
	for _, n := range []int{pageRows - 1, pageRows, pageRows + 1} {
		x := table{name: "long", fields: []field{{name: "even", kind: boolean}, {name: "id", kind: integer}}}
		for i := range n {
			row := []any{i%2 == 0, int64(i)}
			if i%3 == 0 {
				row[0] = nil
			}
			x.rows = append(x.rows, row)
		}
		data, err := x.parquet()
		if err != nil {
			t.Fatal(err)
		}
		same(t, x, data)
	}
}

func TestACellOfAnotherKindIsRefused(t *testing.T) {
	x := table{name: "t", fields: []field{{name: "n", kind: integer}}, rows: [][]any{{1.5}}}
	if _, err := x.parquet(); err == nil || err.Error() != "column n holds a float64 (1.5), expected type integer" {
		t.Errorf("got %v", err)
	}
}
