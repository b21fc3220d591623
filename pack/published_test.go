package pack

import (
	"testing"
	"time"
)

// TestChecksumsArePublishedOnes: the manifest's checksum of a file is SHA-256.
//
// Source: NIST, FIPS 180-4 example values, "SHA-256": one-block message "abc" and
// two-block message; the empty message from NIST CAVP SHA256ShortMsg.rsp, Len = 0
// (all from memory, and agreed with by coreutils in TestCoreutilsAgrees).
func TestChecksumsArePublishedOnes(t *testing.T) {
	for _, c := range []struct{ message, sum string }{
		{"abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"},
		{"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq", "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"},
		{"", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"},
	} {
		p, err := New(About{Tool: "x 1", Title: "t", Made: time.Unix(0, 0)}, []File{{Path: "m", Data: []byte(c.message)}})
		if err != nil {
			t.Fatal(err)
		}
		if got := p.List[0].SHA256; got != c.sum {
			t.Errorf("%q: got %s, want %s", c.message, got, c.sum)
		}
	}
}
