package dataset

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"fairburn/pack"
)

// The rules of Data Package 2.0 that concern what is written here, each with the
// section that states it. Source: Data Package standard 2.0 (26 June 2024),
// https://datapackage.org/standard/; profiles https://datapackage.org/profiles/2.0/.

// pathPattern is the pattern of "path" in profiles/2.0/datapackage.json, as far
// as Go's expressions reach: no look-ahead, so what it forbids is checked apart.
func isPath(p string) bool {
	return p != "" && !strings.ContainsAny(p[:1], "./~") && !strings.Contains(p, "/../") && !strings.Contains(p, `\`) && !strings.Contains(p, "://") && !strings.HasPrefix(p, "file:")
}

var (
	resourceName = regexp.MustCompile(`^[-a-z0-9._]+$`)             // Data Resource, name: SHOULD
	licenseName  = regexp.MustCompile(`^([-a-zA-Z0-9._])+$`)        // profile, licenses.items.name.pattern
	mediaType    = regexp.MustCompile(`^(.+)/(.+)$`)                // profile, resource.mediatype.pattern
	hashPattern  = regexp.MustCompile(`^[^:]+:[a-fA-F0-9]+$`)       // profile, resource.hash.pattern with an algorithm
	numberForm   = regexp.MustCompile(`^-?\d+(\.\d+)?(E[+-]\d+)?$`) // Table Schema, number
	integerForm  = regexp.MustCompile(`^-?\d+$`)
)

func TestDataPackageKeepsThePublishedRules(t *testing.T) {
	for _, s := range samples() {
		for _, o := range []Options{{}, everything} {
			files := s.files(t, o)
			var p map[string]any
			if err := json.Unmarshal(files[Folder+"/datapackage.json"].Data, &p); err != nil {
				t.Fatal(err)
			}
			keepsPackage(t, p)
			names := map[string]map[string]any{}
			for _, x := range p["resources"].([]any) { // Data Package, resources: required, at least one
				r := x.(map[string]any)
				name := r["name"].(string) // Data Resource, name: required, unique
				if names[name] != nil || !resourceName.MatchString(name) {
					t.Errorf("resource %q: name twice or of other letters", name)
				}
				names[name] = r
				keepsResource(t, r, files[Folder+"/"+path.Base(r["path"].(string))].Data)
			}
			for name, r := range names {
				if r["type"] == "table" {
					keepsTable(t, s.name+" "+name, r, files, names)
				}
			}
		}
	}
}

func keepsPackage(t *testing.T, p map[string]any) {
	if p["$schema"] != "https://datapackage.org/profiles/2.0/datapackage.json" { // Data Package, $schema: the recommended value
		t.Errorf("$schema is %v", p["$schema"])
	}
	if !resourceName.MatchString(p["name"].(string)) { // Data Package, name: lower case, url-usable
		t.Errorf("name %v", p["name"])
	}
	if made, ok := p["created"]; ok { // Data Package, created: RFC 3339
		if _, err := time.Parse(time.RFC3339, made.(string)); err != nil {
			t.Error(err)
		}
	}
	if ls, ok := p["licenses"]; ok { // Data Package, licenses: a name or a path each
		for _, l := range ls.([]any) {
			if name := l.(map[string]any)["name"]; name != nil && !licenseName.MatchString(name.(string)) {
				t.Errorf("licence %v", name)
			}
		}
	}
	if cs, ok := p["contributors"]; ok { // Data Package, contributors: roles is an array of strings
		for _, c := range cs.([]any) {
			if roles := c.(map[string]any)["roles"].([]any); len(roles) == 0 {
				t.Error("a contributor without a role")
			}
		}
	}
	if _, old := p["profile"]; old { // changelog of 2.0: profile became $schema
		t.Error("profile is of version 1")
	}
}

func keepsResource(t *testing.T, r map[string]any, data []byte) {
	name := r["name"]
	if r["$schema"] != "https://datapackage.org/profiles/2.0/dataresource.json" {
		t.Errorf("%s: $schema is %v", name, r["$schema"])
	}
	if !isPath(r["path"].(string)) || r["data"] != nil { // Data Resource, path or data: one and only one
		t.Errorf("%s: path %v", name, r["path"])
	}
	if !mediaType.MatchString(r["mediatype"].(string)) || !hashPattern.MatchString(r["hash"].(string)) {
		t.Errorf("%s: %v %v", name, r["mediatype"], r["hash"])
	}
	if want := fmt.Sprintf("sha256:%x", sha256.Sum256(data)); r["hash"] != want || int(r["bytes"].(float64)) != len(data) {
		t.Errorf("%s: hash or bytes are not those of the file", name)
	}
	if kind, ok := r["type"]; ok && kind != "table" { // Data Resource, type: only "table"
		t.Errorf("%s: type %v", name, kind)
	}
}

// keepsTable holds the CSV to its schema.
func keepsTable(t *testing.T, name string, r map[string]any, files map[string]pack.File, all map[string]map[string]any) {
	schema := r["schema"].(map[string]any)
	lines, err := csv.NewReader(bytes.NewReader(files[Folder+"/"+r["path"].(string)].Data)).ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	fields := schema["fields"].([]any) // Table Schema, fields: required, at least one
	var names []string
	for i, x := range fields {
		f := x.(map[string]any)
		names = append(names, f["name"].(string))
		keepsField(t, name, f, cellsOf(lines[1:], i))
	}
	if !slices.Equal(names, lines[0]) { // Table Schema, fieldsMatch: exact, in number and order
		t.Errorf("%s: header %v, fields %v", name, lines[0], names)
	}
	if len(slices.Compact(slices.Sorted(slices.Values(names)))) != len(names) { // Table Schema, name: unique
		t.Errorf("%s: a field's name is there twice", name)
	}
	if m := schema["missingValues"].([]any); len(m) != 1 || m[0] != "" { // Table Schema, missingValues: array of unique strings
		t.Errorf("%s: missing values %v", name, m)
	}
	if key, ok := schema["primaryKey"].([]any); ok { // Table Schema, primaryKey: array of names of fields, rows unique, not null
		keepsKey(t, name, names, key, lines[1:])
	}
	if keys, ok := schema["foreignKeys"].([]any); ok {
		for _, k := range keys {
			keepsReference(t, name, k.(map[string]any), lines, files, all)
		}
	}
}

// keepsField: Table Schema, Field types and categories.
func keepsField(t *testing.T, table string, f map[string]any, cells []string) {
	name := f["name"].(string)
	allowed := map[string]bool{}
	labels := map[string]bool{}
	cs, _ := f["categories"].([]any)
	for _, c := range cs {
		c := c.(map[string]any)
		if allowed[c["value"].(string)] || labels[c["label"].(string)] { // categories: values and labels unique
			t.Errorf("%s.%s: category %v is there twice", table, name, c)
		}
		allowed[c["value"].(string)], labels[c["label"].(string)] = true, true
	}
	required := false
	if c, ok := f["constraints"].(map[string]any); ok {
		required = c["required"] == true
	}
	for i, cell := range cells {
		ok := cell != "" || !required
		switch {
		case cell == "":
		case f["type"] == "number":
			ok = numberForm.MatchString(cell)
		case f["type"] == "integer":
			ok = integerForm.MatchString(cell)
		case f["type"] == "boolean":
			ok = cell == "true" || cell == "false"
		case len(cs) > 0:
			ok = allowed[cell]
		}
		if !ok {
			t.Errorf("%s.%s, row %d: %q is no %v of the schema", table, name, i+1, cell, f["type"])
		}
	}
	if !slices.Contains([]string{"string", "number", "integer", "boolean"}, f["type"].(string)) || f["description"] == "" {
		t.Errorf("%s.%s: type %v, description %v", table, name, f["type"], f["description"])
	}
}

func cellsOf(lines [][]string, i int) []string {
	var cells []string
	for _, l := range lines {
		cells = append(cells, l[i])
	}
	return cells
}

func keepsKey(t *testing.T, table string, names []string, key []any, lines [][]string) {
	seen := map[string]bool{}
	for _, l := range lines {
		row := ""
		for _, k := range key {
			i := slices.Index(names, k.(string))
			if i < 0 || l[i] == "" {
				t.Fatalf("%s: key %v has no field or no value", table, k)
			}
			row += strconv.Quote(l[i])
		}
		if seen[row] {
			t.Errorf("%s: key %s is there twice", table, row)
		}
		seen[row] = true
	}
}

// keepsReference: Table Schema, foreignKeys: arrays of the same length, the
// values found in the other resource, null excepted.
func keepsReference(t *testing.T, table string, k map[string]any, lines [][]string, files map[string]pack.File, all map[string]map[string]any) {
	ref := k["reference"].(map[string]any)
	from, to := k["fields"].([]any), ref["fields"].([]any)
	other := all[ref["resource"].(string)]
	if len(from) != 1 || len(to) != 1 || other == nil {
		t.Fatalf("%s: reference %v", table, k)
	}
	there, err := csv.NewReader(bytes.NewReader(files[Folder+"/"+other["path"].(string)].Data)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	known := cellsOf(there[1:], slices.Index(there[0], to[0].(string)))
	for _, cell := range cellsOf(lines[1:], slices.Index(lines[0], from[0].(string))) {
		if cell != "" && !slices.Contains(known, cell) {
			t.Errorf("%s: %v %q is not in %v", table, from[0], cell, ref)
		}
	}
}

// TestThriftVarints holds the zigzag numbers of Parquet's headers to the table
// of the protocol. Source: Apache Thrift, thrift-compact-protocol.md, "Integer
// encoding": zigzag maps 0, -1, 1, -2 to 0, 1, 2, 3, and 50399 is written as the
// unsigned varint 0xDF 0x89 0x03.
func TestThriftVarints(t *testing.T) {
	for _, c := range []struct {
		n    int64
		want []byte
	}{{0, []byte{0}}, {-1, []byte{1}}, {1, []byte{2}}, {-2, []byte{3}}, {math.MinInt64, []byte{255, 255, 255, 255, 255, 255, 255, 255, 255, 1}}} {
		h := thrift{}
		h.element(func() { h.i64(1, c.n) })
		if want := slices.Concat([]byte{0x16}, c.want, []byte{0}); !bytes.Equal(h.b, want) {
			t.Errorf("%d: got %x, want %x", c.n, h.b, want)
		}
	}
	if got := binary.AppendUvarint(nil, 50399); !bytes.Equal(got, []byte{0xDF, 0x89, 0x03}) {
		t.Errorf("50399: got %x", got)
	}
}

// TestLevelsAreRunLengths: Source: parquet-format, Encodings.md, "Run Length
// Encoding / Bit-Packing Hybrid": rle-run is varint(length << 1) and the value in
// as many bytes as the bit width needs, here one.
func TestLevelsAreRunLengths(t *testing.T) {
	var r runs
	for range 100 {
		r.add(true)
	}
	r.add(false)
	if got, want := r.bytes(), []byte{200, 1, 1, 2, 0}; !bytes.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}
