package guard

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base32"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"sync"
	"time"
	"unicode"
	"unicode/utf8"

	"golang.org/x/time/rate"
)

// Limits of pairing. Common practice, no source.
const (
	KeyLife    = 10 * time.Minute    // from NewKey to the last moment it pairs
	TokenLife  = 30 * 24 * time.Hour // from pairing to the last moment a device counts
	MaxDevices = 50
	maxKeys    = 10 // unused keys at a time; a further one ends the oldest
	maxName    = 60 // characters of a device's name
	keyBytes   = 16
	tokenBytes = 32
	// wrongKeys may be tried in a minute by all addresses together; then every key is
	// refused for some seconds, the right one too, or the limit would limit nothing.
	// Someone on the network can so delay pairing, but never what is paired already.
	wrongKeys = 10
	// seenEvery is how old the time last seen in the file may be.
	seenEvery = time.Hour
)

// Errors of pairing, for errors.Is.
var (
	ErrKey     = errors.New("this key is unknown, used or too old: ask for a new one on the machine itself")
	ErrTooMany = errors.New("too many wrong keys were tried: wait a minute and scan again")
	ErrFull    = fmt.Errorf("%d devices are paired, the most that are kept: revoke one on the machine itself first", MaxDevices)
	ErrName    = fmt.Errorf("a device needs a name of 1 to %d characters", maxName)
)

var defaultRandom io.Reader = rand.Reader

// Device is what is known of a paired device. Its token is known to nobody but the
// device; only the token's SHA-256 is kept.
type Device struct {
	ID    string    // eight hexadecimal digits, no secret
	Name  string    // as its holder gave it: text from a stranger, to be escaped
	Since time.Time // paired
	Seen  time.Time // last request
	Until time.Time // last moment it counts
}

// Key is a one-time key that pairs one device until its time is up. It is kept in
// memory only, so a restart ends it.
type Key struct {
	Text  string // 26 letters and digits, lower case
	Until time.Time
}

// digest is the SHA-256 of a secret. Secrets of 128 random bits and more need no
// slower hash.
type digest [sha256.Size]byte

type pairing struct {
	Device
	token   digest
	revoked context.Context // done when the device no longer counts
	revoke  context.CancelFunc
	saved   time.Time // Seen as it stands in the file
}

type oneTime struct {
	key   digest
	until time.Time
}

// Devices is the register of paired devices and of keys not yet used. It may be used
// by many goroutines.
type Devices struct {
	path   string
	now    func() time.Time
	random io.Reader

	mu    sync.Mutex
	all   []*pairing
	keys  []oneTime // oldest first
	wrong *rate.Limiter
}

func newDevices(path string, now func() time.Time, random io.Reader) *Devices {
	return &Devices{path: path, now: now, random: random, wrong: rate.NewLimiter(rate.Every(time.Minute/wrongKeys), wrongKeys)}
}

// NewKey draws a one-time key. Of the keys not yet used the newest ten are kept.
func (d *Devices) NewKey() (Key, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	text, err := d.draw(keyBytes)
	if err != nil {
		return Key{}, err
	}
	until := d.now().Add(KeyLife)
	d.keys = append(d.keys, oneTime{sha256.Sum256([]byte(text)), until})
	if len(d.keys) > maxKeys {
		d.keys = slices.Delete(d.keys, 0, 1)
	}
	return Key{text, until}, nil
}

// Pair takes a one-time key, in letters of either case, and gives the device a token
// that counts for TokenLife. The key is used up unless an error is returned.
//
// Errors: ErrTooMany, ErrKey, ErrName, ErrFull, and those of writing the file, after
// which nothing has changed.
func (d *Devices) Pair(key, name string) (token string, _ Device, _ error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	now := d.now()
	at, err := d.find(key, now)
	if err != nil {
		return "", Device{}, err
	}
	if name, err = cleanName(name); err != nil {
		return "", Device{}, err
	}
	kept := d.counting(now)
	if len(kept) >= MaxDevices {
		return "", Device{}, ErrFull
	}
	token, err = d.draw(tokenBytes)
	if err != nil {
		return "", Device{}, err
	}
	p := newPairing(sha256.Sum256([]byte(token)), Device{Name: name, Since: now, Seen: now, Until: now.Add(TokenLife)})
	if err := d.keep(append(kept, p)); err != nil {
		return "", Device{}, err
	}
	d.keys = slices.Delete(d.keys, at, at+1)
	return token, p.Device, nil
}

// find is the place of a key that may be used now. Keys too old are dropped, and a
// wrong one is counted.
func (d *Devices) find(key string, now time.Time) (int, error) {
	if d.wrong.TokensAt(now) < 1 {
		return 0, ErrTooMany
	}
	d.keys = slices.DeleteFunc(d.keys, func(k oneTime) bool { return now.After(k.until) })
	asked := digest(sha256.Sum256([]byte(strings.ToLower(key))))
	for i := range d.keys {
		if asked.is(d.keys[i].key) {
			return i, nil
		}
	}
	d.wrong.AllowN(now, 1)
	return 0, ErrKey
}

// is compares in a time that does not depend on the contents.
func (g digest) is(other digest) bool { return subtle.ConstantTimeCompare(g[:], other[:]) == 1 }

// List is every device that counts now, in the order of pairing.
func (d *Devices) List() []Device {
	d.mu.Lock()
	defer d.mu.Unlock()
	var all []Device
	for _, p := range d.counting(d.now()) {
		all = append(all, p.Device)
	}
	return all
}

// Revoke ends a device's pairing and its open requests. An ID not in List is an error.
func (d *Devices) Revoke(id string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	kept := slices.DeleteFunc(d.counting(d.now()), func(p *pairing) bool { return p.ID == id })
	if len(kept) == len(d.counting(d.now())) {
		return fmt.Errorf("no device %q is paired", id)
	}
	return d.keep(kept)
}

// RevokeAll ends every pairing, and every key not yet used.
func (d *Devices) RevokeAll() error {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.keys = nil
	return d.keep(nil)
}

// byToken is the device that holds a token, and a context that ends when it is
// revoked. Its time last seen goes to the file within seenEvery; if that cannot be
// written the next pairing will say so.
func (d *Devices) byToken(token string) (Device, context.Context, bool) {
	d.mu.Lock()
	defer d.mu.Unlock()
	asked, now := digest(sha256.Sum256([]byte(token))), d.now()
	for _, p := range d.all {
		if !p.token.is(asked) || now.After(p.Until) {
			continue
		}
		p.Seen = now
		if now.Sub(p.saved) >= seenEvery {
			p.saved = now
			_ = d.write(d.all)
		}
		return p.Device, p.revoked, true
	}
	return Device{}, nil, false
}

// counting is the devices whose time is not up, in a slice of their own.
func (d *Devices) counting(now time.Time) []*pairing {
	return slices.DeleteFunc(slices.Clone(d.all), func(p *pairing) bool { return now.After(p.Until) })
}

// keep makes these the devices, in the file first, and ends what others had open.
func (d *Devices) keep(these []*pairing) error {
	if err := d.write(these); err != nil {
		return err
	}
	for _, p := range d.all {
		if !slices.Contains(these, p) {
			p.revoke()
		}
	}
	d.all = these
	return nil
}

func newPairing(token digest, of Device) *pairing {
	of.ID = fmt.Sprintf("%x", token[:4])
	p := &pairing{Device: of, token: token, saved: of.Seen}
	p.revoked, p.revoke = context.WithCancel(context.Background())
	return p
}

func (d *Devices) draw(n int) (string, error) {
	b := make([]byte, n)
	if _, err := io.ReadFull(d.random, b); err != nil {
		return "", fmt.Errorf("drawing a key: %w", err)
	}
	return strings.ToLower(base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(b)), nil
}

// cleanName makes a stranger's text one line: control characters and those that turn
// the direction of writing count as spaces, and spaces are folded.
//
// Source of the latter: Unicode Standard Annex 9, section 2 (explicit and isolating
// directional characters).
func cleanName(name string) (string, error) {
	name = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || r == utf8.RuneError || r == '\u2028' || r == '\u2029' {
			return ' '
		}
		return r
	}, name)
	name = strings.Join(strings.Fields(name), " ")
	if n := utf8.RuneCountInString(name); n < 1 || n > maxName {
		return "", fmt.Errorf("%w: this one has %d", ErrName, n)
	}
	return name, nil
}
