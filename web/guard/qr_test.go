package guard

import (
	"encoding/xml"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"net/netip"
	"slices"
	"strings"
	"testing"

	qr "github.com/piglig/go-qr"
)

const address = "http://192.168.178.123:8080/pair/abcdefghijklmnopqrstuvwxyz"

// read decodes a code whose dark modules a test found, at 6 pixels a module.
func read(t *testing.T, w, h int, dark func(x, y int) bool) string {
	t.Helper()
	m := image.NewGray(image.Rect(0, 0, 6*w, 6*h))
	draw.Draw(m, m.Rect, image.White, image.Point{}, draw.Src)
	for y := range 6 * h {
		for x := range 6 * w {
			if dark(x/6, y/6) {
				m.SetGray(x, y, color.Gray{})
			}
		}
	}
	text, err := qr.Decode(m)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func TestQRText(t *testing.T) {
	plain, err := QRText(address, false)
	if err != nil {
		t.Fatal(err)
	}
	var grid [][]rune
	for line := range strings.Lines(plain) {
		grid = append(grid, []rune(strings.TrimSuffix(line, "\n")))
	}
	got := read(t, len(grid[0]), 2*len(grid), func(x, y int) bool {
		r := grid[y/2][x]
		return r == '█' || r == '▀' && y%2 == 0 || r == '▄' && y%2 == 1
	})
	if got != address {
		t.Errorf("read %q", got)
	}
	// The quiet zone: ISO/IEC 18004:2015 6.3.8, four modules on each side.
	for y, line := range grid {
		if y < 2 && strings.TrimSpace(string(line)) != "" || !strings.HasPrefix(string(line), "    ") || !strings.HasSuffix(string(line), "    ") {
			t.Errorf("line %d leaves no margin: %q", y+1, string(line))
		}
	}
	coloured, err := QRText(address, true)
	if err != nil {
		t.Fatal(err)
	}
	const on, off = "\x1b[38;5;16;48;5;231m", "\x1b[0m"
	for line := range strings.Lines(coloured) {
		if !strings.HasPrefix(line, on) || !strings.HasSuffix(line, off+"\n") {
			t.Fatalf("%q", line)
		}
	}
	if strings.NewReplacer(on, "", off, "").Replace(coloured) != plain {
		t.Error("the code for a terminal is another one")
	}
}

func TestQRSVG(t *testing.T) {
	svg, err := QRSVG(address)
	if err != nil {
		t.Fatal(err)
	}
	var doc struct {
		ViewBox string `xml:"viewBox,attr"`
		Path    struct {
			D string `xml:"d,attr"`
		} `xml:"path"`
	}
	if err := xml.Unmarshal([]byte(svg), &doc); err != nil {
		t.Fatal(err)
	}
	var n int
	if _, err := fmt.Sscanf(doc.ViewBox, "0 0 %d", &n); err != nil {
		t.Fatal(err)
	}
	dark := map[[2]int]bool{}
	for step := range strings.SplitSeq(doc.Path.D, "M") {
		var x, y int
		if _, err := fmt.Sscanf(step, "%d %dh1v1h-1z", &x, &y); err == nil {
			dark[[2]int{x, y}] = true
		}
	}
	if got := read(t, n, n, func(x, y int) bool { return dark[[2]int{x, y}] }); got != address {
		t.Errorf("read %q", got)
	}
	if strings.Contains(string(svg), "style") {
		t.Error("inline style, which the policy forbids")
	}
	hostile, err := QRSVG(`http://x/"><script>`)
	if err != nil || strings.Contains(string(hostile), "<script") {
		t.Errorf("%v: %s", err, hostile)
	}
}

func TestQRTooLong(t *testing.T) {
	for _, err := range []error{
		func() error { _, err := QRText(strings.Repeat("x", 5000), true); return err }(),
		func() error { _, err := QRSVG(strings.Repeat("x", 5000)); return err }(),
	} {
		if err == nil || !strings.HasPrefix(err.Error(), "writing the address as a QR code: ") {
			t.Error(err)
		}
	}
}

func TestAddressesWorthPrinting(t *testing.T) {
	var all []netip.Addr
	for _, a := range []string{
		"fe80::1",        // link-local, RFC 4291 2.5.6
		"2001:db8::5",    // global unicast
		"127.0.0.1",      // loopback, RFC 1122 3.2.1.3
		"203.0.113.9",    // global
		"169.254.7.7",    // link-local, RFC 3927
		"192.168.178.20", // private, RFC 1918 section 3
		"fd00::2",        // unique local, RFC 4193
		"::1", "224.0.0.1", "0.0.0.0", "10.1.2.3",
	} {
		all = append(all, netip.MustParseAddr(a))
	}
	want := []string{"192.168.178.20", "10.1.2.3", "203.0.113.9", "2001:db8::5", "fd00::2"}
	if got := worthPrinting(all); !slices.Equal(got, want) {
		t.Errorf("%v, wanted %v", got, want)
	}
	for name, want := range map[string]bool{"docker0": true, "br-12ab": true, "veth1": true, "eth0": false, "wlan0": false, "en0": false, "bridge0": false} {
		if inner(name) != want {
			t.Errorf("%s: %v", name, !want)
		}
	}
	for _, a := range Addresses() {
		if ip, err := netip.ParseAddr(a); err != nil || ip.IsLoopback() {
			t.Errorf("%q, %v", a, err)
		}
	}
}
