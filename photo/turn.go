package photo

import "image"

// orientation is where the stored picture's first row and first column belong when
// it is looked at.
//
// Source: TIFF revision 6.0 (1992) page 36 and CIPA DC-008-2019 (Exif 2.32) section
// 4.6.4 A, tag Orientation, values 1 to 8.
type orientation uint16

const upright orientation = 1 // first row at the top, first column at the left

// known is the orientation of a value read; one outside 1 to 8 is reserved and
// counts as upright.
func known(value uint16) orientation {
	if value < 1 || value > 8 {
		return upright
	}
	return orientation(value)
}

// sideways tells that rows of the stored picture stand upright (values 5 to 8), so
// that width and height change places.
func (o orientation) sideways() bool { return o >= 5 }

// place is where the stored pixel (x, y) of a picture of w × h belongs.
func (o orientation) place(x, y, w, h int) (int, int) {
	switch o {
	case 2: // row at the top, column at the right
		return w - 1 - x, y
	case 3: // bottom, right
		return w - 1 - x, h - 1 - y
	case 4: // bottom, left
		return x, h - 1 - y
	case 5: // left, top
		return y, x
	case 6: // right, top
		return h - 1 - y, x
	case 7: // right, bottom
		return h - 1 - y, w - 1 - x
	case 8: // left, bottom
		return y, w - 1 - x
	}
	return x, y
}

// turn puts every pixel of a picture with its corner at (0, 0) where it belongs.
func turn(src *image.RGBA, o orientation) *image.RGBA {
	if o == upright {
		return src
	}
	w, h := src.Bounds().Dx(), src.Bounds().Dy()
	size := image.Rect(0, 0, w, h)
	if o.sideways() {
		size = image.Rect(0, 0, h, w)
	}
	dst := image.NewRGBA(size)
	for y := range h {
		for x := range w {
			tox, toy := o.place(x, y, w, h)
			dst.SetRGBA(tox, toy, src.RGBAAt(x, y))
		}
	}
	return dst
}
