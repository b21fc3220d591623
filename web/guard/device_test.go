package guard

import (
	"errors"
	"io"
	"strings"
	"testing"
	"testing/iotest"
	"time"
)

func newKey(t *testing.T, d *Devices) string {
	t.Helper()
	k, err := d.NewKey()
	if err != nil {
		t.Fatal(err)
	}
	return k.Text
}

func TestKeysPairOnce(t *testing.T) {
	b := newBench(t)
	k, err := b.devices.NewKey()
	if err != nil || len(k.Text) != 26 || !k.Until.Equal(b.now.Add(10*time.Minute)) {
		t.Fatalf("%+v, %v", k, err)
	}
	if _, _, err := b.devices.Pair(k.Text, ""); !errors.Is(err, ErrName) {
		t.Fatalf("without a name: %v", err)
	}
	token, d, err := b.devices.Pair(strings.ToUpper(k.Text), "  phone\tat station 2 ")
	if err != nil || d.Name != "phone at station 2" || !d.Until.Equal(b.now.Add(TokenLife)) {
		t.Fatalf("%+v, %v", d, err)
	}
	if _, _, err := b.devices.Pair(k.Text, "again"); err != ErrKey {
		t.Errorf("replayed: %v", err)
	}
	if got, _, ok := b.devices.byToken(token); !ok || got.ID != d.ID {
		t.Errorf("%+v, %v", got, ok)
	}
	if len(b.devices.List()) != 1 {
		t.Error(b.devices.List())
	}
}

func TestKeysGrowOld(t *testing.T) {
	b := newBench(t)
	first, second := newKey(t, b.devices), newKey(t, b.devices)
	b.now = b.now.Add(KeyLife)
	if _, _, err := b.devices.Pair(first, "in the last moment"); err != nil {
		t.Error(err)
	}
	b.now = b.now.Add(1)
	if _, _, err := b.devices.Pair(second, "too late"); err != ErrKey {
		t.Errorf("too old: %v", err)
	}
	oldest := newKey(t, b.devices)
	for range maxKeys {
		newKey(t, b.devices)
	}
	if _, _, err := b.devices.Pair(oldest, "phone"); err != ErrKey || len(b.devices.keys) != maxKeys {
		t.Errorf("%v, %d keys kept", err, len(b.devices.keys))
	}
}

func TestGuessing(t *testing.T) {
	b := newBench(t)
	good := newKey(t, b.devices)
	for i := range wrongKeys {
		guess := strings.Repeat("a", i+1)
		if _, _, err := b.devices.Pair(guess, "x"); err != ErrKey {
			t.Fatalf("guess %d: %v", i+1, err)
		}
	}
	// Now not even the right key tells a guesser from others.
	for _, key := range []string{"b", "", good, good[:25], good + "a"} {
		if _, _, err := b.devices.Pair(key, "x"); err != ErrTooMany {
			t.Errorf("%q after ten wrong ones: %v", key, err)
		}
	}
	b.now = b.now.Add(time.Minute / wrongKeys)
	if _, _, err := b.devices.Pair(good, "x"); err != nil {
		t.Errorf("six seconds later: %v", err)
	}
}

func TestTokensExpireAndAreRevoked(t *testing.T) {
	b := newBench(t)
	one, first := b.paired("first")
	two, second := b.paired("second")
	if err := b.devices.Revoke(first.ID); err != nil {
		t.Fatal(err)
	}
	if _, _, ok := b.devices.byToken(one); ok {
		t.Error("a revoked device is still let in")
	}
	if err := b.devices.Revoke(first.ID); err == nil || err.Error() != `no device "`+first.ID+`" is paired` {
		t.Error(err)
	}
	b.now = second.Until
	if _, _, ok := b.devices.byToken(two); !ok {
		t.Error("refused in the last moment")
	}
	b.now = b.now.Add(1)
	if _, _, ok := b.devices.byToken(two); ok || len(b.devices.List()) != 0 {
		t.Error("a device whose time is up is let in or listed")
	}
	three, _ := b.paired("third")
	key := newKey(t, b.devices)
	if err := b.devices.RevokeAll(); err != nil {
		t.Fatal(err)
	}
	if _, _, ok := b.devices.byToken(three); ok || len(b.devices.List()) != 0 {
		t.Error("not all were revoked")
	}
	if _, _, err := b.devices.Pair(key, "x"); err != ErrKey {
		t.Errorf("a key outlived the revoking of all: %v", err)
	}
}

func TestSixtyDevices(t *testing.T) {
	b := newBench(t)
	for i := range 60 {
		_, _, err := b.devices.Pair(newKey(t, b.devices), "phone")
		if i < MaxDevices && err != nil || i >= MaxDevices && err != ErrFull {
			t.Fatalf("device %d: %v", i+1, err)
		}
	}
	b.now = b.now.Add(TokenLife + 1)
	if _, _, err := b.devices.Pair(newKey(t, b.devices), "phone"); err != nil || len(b.devices.List()) != 1 {
		t.Errorf("when the time of all is up: %v", err)
	}
}

func TestNames(t *testing.T) {
	for _, row := range []struct{ name, want string }{
		{"phone", "phone"},
		{"a\r\nSet-Cookie: x=y", "a Set-Cookie: x=y"},
		{"a\x1b[2Jb\x00c\u0085d\u2028e", "a [2Jb c d e"},
		{"\u202egpj.exe\u2066", "gpj.exe"},
		{"<script>alert(1)</script>", "<script>alert(1)</script>"},
		{"телефон 電話 téléphone 👨‍🔬", "телефон 電話 téléphone 👨‍🔬"},
		{"a\xffb", "a b"},
		{strings.Repeat("ü", 60), strings.Repeat("ü", 60)},
		{strings.Repeat("ü", 61), ""}, {"", ""}, {" \t\n\u202e", ""},
	} {
		got, err := cleanName(row.name)
		if got != row.want || (err != nil) != (row.want == "") {
			t.Errorf("%q: %q, %v; wanted %q", row.name, got, err, row.want)
		}
	}
	if _, err := cleanName(strings.Repeat("x", 75)); err.Error() != "a device needs a name of 1 to 60 characters: this one has 75" {
		t.Error(err)
	}
}

func TestNoRandomNoKey(t *testing.T) {
	d := newDevices("", time.Now, iotest.ErrReader(io.ErrClosedPipe))
	if _, err := d.NewKey(); !errors.Is(err, io.ErrClosedPipe) {
		t.Error(err)
	}
}
