package dataset

import "encoding/binary"

// thrift writes the compact protocol in which Parquet keeps its headers: structs
// of numbered fields, numbers as zigzag varints.
//
// Source: Apache Thrift, "Thrift Compact protocol encoding"
// (doc/specs/thrift-compact-protocol.md), "Struct encoding" and "List and set encoding".
type thrift struct {
	b    []byte
	last []int16 // number of the last field of each open struct
}

// The types of fields that Parquet's headers need.
const (
	thriftI32    = 5
	thriftI64    = 6
	thriftBinary = 8
	thriftList   = 9
	thriftStruct = 12
)

// field writes a field's head: what it adds to the number of the one before, and
// its type. Numbers of Parquet's headers never skip more than 15.
func (t *thrift) field(id int16, kind byte) {
	last := &t.last[len(t.last)-1]
	t.b = append(t.b, byte(id-*last)<<4|kind)
	*last = id
}

func (t *thrift) i32(id int16, x int32) {
	t.field(id, thriftI32)
	t.b = binary.AppendVarint(t.b, int64(x)) // Go's varints of signed numbers are zigzag
}

func (t *thrift) i64(id int16, x int64) {
	t.field(id, thriftI64)
	t.b = binary.AppendVarint(t.b, x)
}

func (t *thrift) text(id int16, s string) {
	t.field(id, thriftBinary)
	t.bytes(s)
}

func (t *thrift) bytes(s string) {
	t.b = append(binary.AppendUvarint(t.b, uint64(len(s))), s...)
}

// list writes the head of a list; its elements follow.
func (t *thrift) list(id int16, kind byte, n int) {
	t.field(id, thriftList)
	if n < 15 {
		t.b = append(t.b, byte(n)<<4|kind)
		return
	}
	t.b = binary.AppendUvarint(append(t.b, 0xF0|kind), uint64(n))
}

// structs writes a field that is a struct.
func (t *thrift) structs(id int16, write func()) {
	t.field(id, thriftStruct)
	t.element(write)
}

// element writes a struct without a number: one of a list, or the whole message.
func (t *thrift) element(write func()) {
	t.last = append(t.last, 0)
	write()
	t.b = append(t.b, 0)
	t.last = t.last[:len(t.last)-1]
}
