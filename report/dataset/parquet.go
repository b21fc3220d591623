package dataset

import (
	"encoding/binary"
	"fmt"
	"math"
)

// The numbers of Parquet's enumerations that are written here.
//
// Source: Apache Parquet, parquet-format, src/main/thrift/parquet.thrift (Type,
// Encoding, CompressionCodec, FieldRepetitionType, ConvertedType, PageType).
const (
	parquetBoolean, parquetInt64, parquetDouble, parquetByteArray = 0, 2, 5, 6

	encodingPlain, encodingRLE = 0, 3
	codecUncompressed          = 0
	optional                   = 1
	convertedUTF8              = 0
	dataPage                   = 0
)

// pageRows is how many rows a page holds, so that no page comes near the 2 GiB
// that its header can say.
const pageRows = 1 << 16

const parquetMagic = "PAR1"

var parquetTypes = map[kind]int32{text: parquetByteArray, decimal: parquetDouble, integer: parquetInt64, boolean: parquetBoolean}

// chunk is a column as it lies in the file.
type chunk struct {
	at, size int64
	nulls    int64
}

// parquet writes the table as one row group of plain, uncompressed, optional
// columns (none at all for a table without rows), with its Table Schema under
// the key "table_schema".
//
// Source: Apache Parquet, parquet-format: README.md (File format, Data Pages),
// Encodings.md (PLAIN, RLE), LogicalTypes.md (STRING), parquet.thrift.
func (t *table) parquet() ([]byte, error) {
	b := []byte(parquetMagic)
	chunks := make([]chunk, len(t.fields))
	for i := range t.fields {
		c := chunk{at: int64(len(b))}
		for from := 0; from < len(t.rows); from += pageRows {
			page, nulls, err := t.page(i, t.rows[from:min(from+pageRows, len(t.rows))])
			if err != nil {
				return nil, err
			}
			b = append(b, page...)
			c.nulls += nulls
		}
		c.size = int64(len(b)) - c.at
		chunks[i] = c
	}
	footer, err := t.footer(chunks)
	if err != nil {
		return nil, err
	}
	b = append(b, footer...)
	b = binary.LittleEndian.AppendUint32(b, uint32(len(footer)))
	return append(b, parquetMagic...), nil
}

// page writes some rows of one column: header, definition levels, values.
func (t *table) page(column int, rows [][]any) ([]byte, int64, error) {
	cells := make([]any, 0, len(rows))
	nulls := int64(0)
	levels := runs{}
	for _, row := range rows {
		x := row[column]
		levels.add(x != nil)
		if x == nil {
			nulls++
			continue
		}
		cells = append(cells, x)
	}
	coded := levels.bytes()
	body := append(binary.LittleEndian.AppendUint32(nil, uint32(len(coded))), coded...)
	body, err := plain(body, t.fields[column], cells)
	if err != nil {
		return nil, 0, err
	}
	if len(body) > math.MaxInt32 {
		return nil, 0, fmt.Errorf("column %s has %d bytes in %d rows, expected at most %d", t.fields[column].name, len(body), len(rows), math.MaxInt32)
	}
	h := thrift{}
	h.element(func() { // PageHeader
		h.i32(1, dataPage)
		h.i32(2, int32(len(body)))
		h.i32(3, int32(len(body)))
		h.structs(5, func() { // DataPageHeader
			h.i32(1, int32(len(rows)))
			h.i32(2, encodingPlain)
			h.i32(3, encodingRLE)
			h.i32(4, encodingRLE)
		})
	})
	return append(h.b, body...), nulls, nil
}

// plain appends values: numbers little endian, texts after their length,
// booleans as bits from the lowest.
func plain(b []byte, f field, cells []any) ([]byte, error) {
	bits := make([]byte, 0, len(cells)/8+1)
	for i, x := range cells {
		switch x := x.(type) {
		case string:
			b = append(binary.LittleEndian.AppendUint32(b, uint32(len(x))), x...)
		case float64:
			b = binary.LittleEndian.AppendUint64(b, math.Float64bits(x))
		case int64:
			b = binary.LittleEndian.AppendUint64(b, uint64(x))
		case bool:
			if i%8 == 0 {
				bits = append(bits, 0)
			}
			if x {
				bits[i/8] |= 1 << (i % 8)
			}
		}
		if kindOf(x) != f.kind {
			return nil, fmt.Errorf("column %s holds a %T (%v), expected type %s", f.name, x, x, f.kind)
		}
	}
	return append(b, bits...), nil
}

func kindOf(x any) kind {
	switch x.(type) {
	case string:
		return text
	case float64:
		return decimal
	case int64:
		return integer
	case bool:
		return boolean
	}
	return ""
}

// runs are definition levels of one bit, run length after run length.
type runs struct {
	b    []byte
	is   bool
	long uint64
}

func (r *runs) add(is bool) {
	if r.long > 0 && r.is != is {
		r.end()
	}
	r.is = is
	r.long++
}

// end writes a run: its length, shifted to tell it from bit-packed values, and
// the level in one byte.
func (r *runs) end() {
	level := byte(0)
	if r.is {
		level = 1
	}
	r.b = append(binary.AppendUvarint(r.b, r.long<<1), level)
	r.long = 0
}

func (r *runs) bytes() []byte {
	if r.long > 0 {
		r.end()
	}
	return r.b
}

// footer writes the file's metadata.
func (t *table) footer(chunks []chunk) ([]byte, error) {
	schema, err := t.schemaJSON()
	if err != nil {
		return nil, err
	}
	m := thrift{}
	m.element(func() { // FileMetaData
		m.i32(1, 1)
		m.list(2, thriftStruct, 1+len(t.fields))
		m.element(func() { // the root
			m.text(4, t.name)
			m.i32(5, int32(len(t.fields)))
		})
		for _, f := range t.fields {
			m.element(func() { f.schemaElement(&m) })
		}
		m.i64(3, int64(len(t.rows)))
		groups := min(1, len(t.rows))
		m.list(4, thriftStruct, groups)
		for range groups {
			m.element(func() { t.rowGroup(&m, chunks) })
		}
		m.list(5, thriftStruct, 1)
		m.element(func() { // KeyValue
			m.text(1, "table_schema")
			m.text(2, string(schema))
		})
		m.text(6, "fairburn version 1")
	})
	return m.b, nil
}

func (f field) schemaElement(m *thrift) {
	m.i32(1, parquetTypes[f.kind])
	m.i32(3, optional)
	m.text(4, f.name)
	if f.kind == text {
		m.i32(6, convertedUTF8)
		m.structs(10, func() { m.structs(1, func() {}) }) // LogicalType STRING
	}
}

func (t *table) rowGroup(m *thrift, chunks []chunk) {
	total := int64(0)
	m.list(1, thriftStruct, len(chunks))
	for i, c := range chunks {
		total += c.size
		m.element(func() { // ColumnChunk
			m.i64(2, c.at)
			m.structs(3, func() { t.columnMeta(m, i, c) })
		})
	}
	m.i64(2, total)
	m.i64(3, int64(len(t.rows)))
}

func (t *table) columnMeta(m *thrift, column int, c chunk) {
	f := t.fields[column]
	m.i32(1, parquetTypes[f.kind])
	m.list(2, thriftI32, 2)
	m.b = binary.AppendVarint(m.b, encodingPlain)
	m.b = binary.AppendVarint(m.b, encodingRLE)
	m.list(3, thriftBinary, 1)
	m.bytes(f.name)
	m.i32(4, codecUncompressed)
	m.i64(5, int64(len(t.rows)))
	m.i64(6, c.size)
	m.i64(7, c.size)
	m.i64(9, c.at)
	m.structs(12, func() { m.i64(3, c.nulls) }) // Statistics
}
