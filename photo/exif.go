package photo

import (
	"bytes"
	"encoding/binary"
)

// Markers of a JPEG's segments.
// Source: ISO/IEC 10918-1 (ITU-T T.81) table B.1; APP1 for Exif: CIPA DC-008-2019
// (Exif 2.32) section 4.7.2.
const (
	markScan = 0xDA // start of scan: pixels follow
	markEnd  = 0xD9
	markApp1 = 0xE1
)

const exifID = "Exif\x00\x00"

// orientationOf is the orientation told by the first Exif segment before the pixels
// of a JPEG. A file without one, and one whose Exif data is damaged, counts as
// upright: that is how a viewer shows it.
func orientationOf(data []byte) orientation {
	for at := 2; at+4 <= len(data); {
		if data[at] != 0xFF {
			return upright
		}
		mark := data[at+1]
		if mark == 0xFF { // fill byte before a marker
			at++
			continue
		}
		if mark == markScan || mark == markEnd {
			return upright
		}
		size := int(binary.BigEndian.Uint16(data[at+2:]))
		if size < 2 || at+2+size > len(data) {
			return upright
		}
		if body := data[at+4 : at+2+size]; mark == markApp1 && bytes.HasPrefix(body, []byte(exifID)) {
			return orientationIn(body[len(exifID):])
		}
		at += 2 + size
	}
	return upright
}

// orientationIn reads tag 0x0112 of the first directory of a TIFF block: byte order,
// the number 42, offset of the directory; there a count, then 12 bytes an entry (tag,
// type, count, value). The value is one SHORT, 1 to 8.
//
// Source: TIFF revision 6.0 (1992) section 2 and page 36; CIPA DC-008-2019
// (Exif 2.32) section 4.6.4 A, tag Orientation.
func orientationIn(tiff []byte) orientation {
	const (
		tag   = 0x0112
		short = 3
	)
	var order binary.ByteOrder
	switch {
	case len(tiff) < 8:
		return upright
	case string(tiff[:2]) == "II":
		order = binary.LittleEndian
	case string(tiff[:2]) == "MM":
		order = binary.BigEndian
	default:
		return upright
	}
	first := uint64(order.Uint32(tiff[4:]))
	if order.Uint16(tiff[2:]) != 42 || first+2 > uint64(len(tiff)) {
		return upright
	}
	entries := tiff[first+2:]
	for n := order.Uint16(tiff[first:]); n > 0 && len(entries) >= 12; n-- {
		e := entries[:12]
		if order.Uint16(e) == tag && order.Uint16(e[2:]) == short && order.Uint32(e[4:]) == 1 {
			return known(order.Uint16(e[8:]))
		}
		entries = entries[12:]
	}
	return upright
}
