package dataset

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"path"
	"slices"
	"strings"
	"time"

	"fairburn/pack"
	"fairburn/verdict"
)

// The profiles of Data Package 2.0 (26 June 2024).
//
// Source: Data Package standard, https://datapackage.org/standard/data-package/,
// data-resource/, table-schema/ and table-dialect/, and the profiles named here.
const (
	packageProfile  = "https://datapackage.org/profiles/2.0/datapackage.json"
	resourceProfile = "https://datapackage.org/profiles/2.0/dataresource.json"
	schemaProfile   = "https://datapackage.org/profiles/2.0/tableschema.json"
	dialectProfile  = "https://datapackage.org/profiles/2.0/tabledialect.json"
)

type dataPackage struct {
	Schema       string        `json:"$schema"`
	Name         string        `json:"name"`
	Title        string        `json:"title"`
	Description  string        `json:"description"`
	Version      string        `json:"version,omitempty"`
	Created      string        `json:"created,omitempty"`
	Contributors []contributor `json:"contributors,omitempty"`
	Licenses     []license     `json:"licenses,omitempty"`
	Resources    []resource    `json:"resources"`
}

type contributor struct {
	Title string   `json:"title"`
	Roles []string `json:"roles"`
}

type license struct {
	Name  string `json:"name,omitempty"`
	Path  string `json:"path,omitempty"`
	Title string `json:"title,omitempty"`
}

type resource struct {
	Schema      string       `json:"$schema"`
	Name        string       `json:"name"`
	Path        string       `json:"path"`
	Type        string       `json:"type,omitempty"`
	Title       string       `json:"title"`
	Description string       `json:"description"`
	Format      string       `json:"format"`
	MediaType   string       `json:"mediatype"`
	Encoding    string       `json:"encoding,omitempty"`
	Bytes       int          `json:"bytes"`
	Hash        string       `json:"hash"`
	Dialect     *dialect     `json:"dialect,omitempty"`
	Table       *tableSchema `json:"schema,omitempty"`
}

type dialect struct {
	Schema         string `json:"$schema"`
	Header         bool   `json:"header"`
	Delimiter      string `json:"delimiter"`
	LineTerminator string `json:"lineTerminator"`
	QuoteChar      string `json:"quoteChar"`
	DoubleQuote    bool   `json:"doubleQuote"`
}

type tableSchema struct {
	Schema        string       `json:"$schema"`
	Fields        []fieldJSON  `json:"fields"`
	PrimaryKey    []string     `json:"primaryKey,omitempty"`
	ForeignKeys   []foreignKey `json:"foreignKeys,omitempty"`
	MissingValues []string     `json:"missingValues"`
}

type fieldJSON struct {
	Name        string       `json:"name"`
	Type        kind         `json:"type"`
	Description string       `json:"description"`
	Categories  []category   `json:"categories,omitempty"`
	Constraints *constraints `json:"constraints,omitempty"`
}

type category struct {
	Value string `json:"value"`
	Label string `json:"label"`
}

type constraints struct {
	Required bool `json:"required"`
	Unique   bool `json:"unique,omitempty"`
}

type foreignKey struct {
	Fields    []string `json:"fields"`
	Reference struct {
		Resource string   `json:"resource"`
		Fields   []string `json:"fields"`
	} `json:"reference"`
}

// preface is what a reader must know of all tables.
const preface = "Burns of small spirit burners, as read and as reduced. Units stand in the names of fields (_g grams, _mL millilitres, _s seconds, _C degrees Celsius, " +
	"_K kelvins, _hPa hectopascals, _kJ kilojoules, _W watts, _share parts of 1) and in their descriptions; a field that ends in _typed holds a reading as a person wrote it; " +
	"u_ before a name is its standard uncertainty. An empty cell is a value that is not there, never zero. Codes are explained in the table codes, and in the categories of their field. " +
	"In CSV a text that begins with = @ + - or an apostrophe, and is no reading below zero, has one more apostrophe before it, so that a spreadsheet does not run it as a formula: take one off. " +
	"The Parquet files hold the same tables without it. The figures hold for the things that were burned, under the conditions that are written down."

// describe writes datapackage.json. The Parquet files are resources without a
// table's schema, since readers of tables take such a resource for CSV; each
// holds its schema itself.
func describe(v *verdict.Verdict, ts []table, files []pack.File, o Options) ([]byte, error) {
	p := dataPackage{Schema: packageProfile, Name: slug(v.Title), Title: v.Title, Description: preface, Version: o.Version}
	if v.Invented {
		p.Description = "INVENTED DATA: nobody burned anything for this example. " + preface
	}
	if !o.Made.IsZero() {
		p.Created = o.Made.UTC().Truncate(time.Second).Format(time.RFC3339)
	}
	if o.Names {
		for _, name := range o.Contributors {
			p.Contributors = append(p.Contributors, contributor{name, []string{"creator"}})
		}
	}
	if o.License != (License{}) {
		p.Licenses = []license{license(o.License)}
	}
	for i := range ts {
		csv, parquet := describeFile(&ts[i], files[2*i]), describeFile(&ts[i], files[2*i+1])
		csv.Type, csv.Format, csv.MediaType, csv.Encoding = "table", "csv", "text/csv", "utf-8"
		csv.Dialect = &dialect{dialectProfile, true, ",", "\n", `"`, true}
		csv.Table = ts[i].schema()
		parquet.Name += "-parquet"
		parquet.Title += ", as Parquet"
		parquet.Format, parquet.MediaType = "parquet", "application/vnd.apache.parquet"
		p.Resources = append(p.Resources, csv, parquet)
	}
	return indented(p)
}

func describeFile(t *table, f pack.File) resource {
	hash := sha256.Sum256(f.Data)
	return resource{
		Schema: resourceProfile, Name: t.name, Path: path.Base(f.Path), Title: t.title, Description: t.says,
		Bytes: len(f.Data), Hash: "sha256:" + hex.EncodeToString(hash[:]),
	}
}

// schema is the table's Table Schema.
func (t *table) schema() *tableSchema {
	s := &tableSchema{Schema: schemaProfile, PrimaryKey: t.key, MissingValues: []string{""}}
	for _, f := range t.fields {
		j := fieldJSON{Name: f.name, Type: f.kind, Description: f.says}
		if f.of != nil {
			for _, c := range f.of.codes {
				j.Categories = append(j.Categories, category{c.code, c.meaning})
			}
		}
		if slices.Contains(t.key, f.name) {
			j.Constraints = &constraints{Required: true, Unique: len(t.key) == 1}
		}
		s.Fields = append(s.Fields, j)
	}
	for _, r := range t.refs {
		key := foreignKey{Fields: []string{r.field}}
		key.Reference.Resource, key.Reference.Fields = r.table, []string{r.there}
		s.ForeignKeys = append(s.ForeignKeys, key)
	}
	return s
}

func (t *table) schemaJSON() ([]byte, error) { return json.Marshal(t.schema()) }

func indented(p dataPackage) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetIndent("", "  ")
	err := e.Encode(p)
	return b.Bytes(), err
}

// slug is a title as a name: small letters, digits and dashes.
func slug(title string) string {
	parts := strings.FieldsFunc(strings.ToLower(title), func(r rune) bool { return (r < 'a' || r > 'z') && (r < '0' || r > '9') })
	if len(parts) == 0 {
		return "trial"
	}
	return strings.Join(parts, "-")
}
