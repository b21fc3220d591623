package guard

import (
	"fmt"
	"html/template"
	"strings"

	"rsc.io/qr"
)

// quiet is the light margin a code needs, in modules.
//
// Source: ISO/IEC 18004:2015 section 6.3.8.
const quiet = 4

// code is a QR code with its quiet zone; modules outside are light.
type code struct{ *qr.Code }

func codeOf(url string) (code, error) {
	c, err := qr.Encode(url, qr.M)
	if err != nil {
		return code{}, fmt.Errorf("writing the address as a QR code: %w", err)
	}
	return code{c}, nil
}

func (c code) width() int { return c.Size + 2*quiet }

func (c code) dark(x, y int) bool {
	return c.Black(x-quiet, y-quiet)
}

// QRText writes an address as a QR code in half blocks, two modules a character, each
// line ended. For a terminal, dark or light, each line sets black on white and resets
// it; without that the text is right on a light ground only.
func QRText(url string, terminal bool) (string, error) {
	c, err := codeOf(url)
	if err != nil {
		return "", err
	}
	// Colours 16 and 231 are the fixed black and white of the 256; a theme changes
	// only the first 16.
	before, after := "\x1b[38;5;16;48;5;231m", "\x1b[0m"
	if !terminal {
		before, after = "", ""
	}
	blocks := map[[2]bool]string{{false, false}: " ", {true, false}: "▀", {false, true}: "▄", {true, true}: "█"}
	var b strings.Builder
	for y := 0; y < c.width(); y += 2 {
		b.WriteString(before)
		for x := range c.width() {
			b.WriteString(blocks[[2]bool{c.dark(x, y), c.dark(x, y+1)}])
		}
		b.WriteString(after + "\n")
	}
	return b.String(), nil
}

// QRSVG draws an address as a QR code, one unit a module, without inline style. The
// classes are qr, qr-light and qr-dark; a dark theme must leave the code light.
func QRSVG(url string) (template.HTML, error) {
	c, err := codeOf(url)
	if err != nil {
		return "", err
	}
	var dark strings.Builder
	for y := range c.width() {
		for x := range c.width() {
			if c.dark(x, y) {
				fmt.Fprintf(&dark, "M%d %dh1v1h-1z", x, y)
			}
		}
	}
	n := c.width()
	return template.HTML(fmt.Sprintf(`<svg class="qr" viewBox="0 0 %d %d" role="img" aria-label="QR code of %s" shape-rendering="crispEdges">`+
		`<rect class="qr-light" width="%d" height="%d" fill="#fff"/><path class="qr-dark" fill="#000" d="%s"/></svg>`,
		n, n, template.HTMLEscapeString(url), n, n, dark.String())), nil
}
