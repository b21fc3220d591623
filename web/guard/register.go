package guard

import (
	"bytes"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"
)

// registerVersion is the version of the file's form.
const registerVersion = 1

// ErrDamaged tells that the file of devices could not be understood.
var ErrDamaged = errors.New("the file of paired devices is damaged")

// register is the file of devices: JSON, one object.
type register struct {
	Version int     `json:"version"`
	Devices []entry `json:"devices"`
}

type entry struct {
	Name   string    `json:"name"`
	SHA256 string    `json:"token_sha256"`
	Since  time.Time `json:"since"`
	Seen   time.Time `json:"seen"`
	Until  time.Time `json:"until"`
}

// OpenDevices reads the register of paired devices at path, or starts an empty one if
// there is no such file; path "" keeps it in memory only. The file is written whole
// by rename, readable by its owner alone. now and random outside tests are time.Now
// and crypto/rand.Reader.
//
// A damaged file is moved aside to path.damaged (path.damaged-2, and so on), and the
// error is ErrDamaged; the Devices returned with it is empty and may be used: devices
// must be paired anew. With any other error no Devices is returned: a file that cannot
// be read, or one written by a newer version, stays as it is.
func OpenDevices(path string, now func() time.Time, random io.Reader) (*Devices, error) {
	d := newDevices(path, now, random)
	if path == "" {
		return d, nil
	}
	data, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return d, nil
	}
	if err != nil {
		return nil, fmt.Errorf("reading the paired devices: %w", err)
	}
	d.all, err = parse(data)
	if errors.Is(err, ErrDamaged) {
		aside, moved := moveAside(path)
		if moved != nil {
			return nil, fmt.Errorf("%s: %w; it cannot be moved aside: %w", path, err, moved)
		}
		return d, fmt.Errorf("%s: %w; it was moved to %s; pair the devices anew", path, err, aside)
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return d, nil
}

func parse(data []byte) ([]*pairing, error) {
	var head struct {
		Version int `json:"version"`
	}
	if err := json.Unmarshal(data, &head); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	if head.Version > registerVersion {
		return nil, fmt.Errorf("paired devices in version %d: this program reads version %d; use the newer program", head.Version, registerVersion)
	}
	var r register
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&r); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	if r.Version != registerVersion || len(r.Devices) > MaxDevices {
		return nil, fmt.Errorf("%w: version %d with %d devices, expected version %d with at most %d",
			ErrDamaged, r.Version, len(r.Devices), registerVersion, MaxDevices)
	}
	var all []*pairing
	for i, e := range r.Devices {
		p, err := e.pairing()
		if err != nil {
			return nil, fmt.Errorf("%w: device %d: %w", ErrDamaged, i+1, err)
		}
		all = append(all, p)
	}
	return all, nil
}

// pairing checks an entry: a token's digest must be whole, a name as Pair would take
// it, and no time to live longer than Pair gives.
func (e entry) pairing() (*pairing, error) {
	raw, err := hex.DecodeString(e.SHA256)
	if err != nil || len(raw) != len(digest{}) {
		return nil, fmt.Errorf("token_sha256 %q: expected %d hexadecimal digits", e.SHA256, 2*len(digest{}))
	}
	if name, err := cleanName(e.Name); err != nil || name != e.Name {
		return nil, fmt.Errorf("name %q: expected one line of 1 to %d characters", e.Name, maxName)
	}
	if life := e.Until.Sub(e.Since); life < 0 || life > TokenLife {
		return nil, fmt.Errorf("since %s until %s: expected at most %s", e.Since, e.Until, TokenLife)
	}
	return newPairing(digest(raw), Device{Name: e.Name, Since: e.Since, Seen: e.Seen, Until: e.Until}), nil
}

// moveAside renames a file to the first free name beside it.
func moveAside(path string) (string, error) {
	for n := 1; ; n++ {
		aside := path + ".damaged"
		if n > 1 {
			aside = fmt.Sprintf("%s-%d", aside, n)
		}
		if _, err := os.Lstat(aside); errors.Is(err, fs.ErrNotExist) {
			return aside, os.Rename(path, aside)
		} else if err != nil {
			return "", err
		}
	}
}

// write puts devices into the file: a new file beside it, made durable, takes its
// name. os.CreateTemp makes files of mode 0600.
func (d *Devices) write(these []*pairing) (err error) {
	if d.path == "" {
		return nil
	}
	r := register{Version: registerVersion, Devices: []entry{}}
	for _, p := range these {
		r.Devices = append(r.Devices, entry{p.Name, hex.EncodeToString(p.token[:]), p.Since, p.Seen, p.Until})
	}
	data, err := json.MarshalIndent(r, "", "\t")
	if err != nil {
		return fmt.Errorf("writing the paired devices: %w", err)
	}
	f, err := os.CreateTemp(filepath.Dir(d.path), filepath.Base(d.path)+".new-*")
	if err != nil {
		return fmt.Errorf("writing the paired devices: %w", err)
	}
	_, err = f.Write(append(data, '\n'))
	if err = errors.Join(err, f.Sync(), f.Close()); err == nil {
		err = os.Rename(f.Name(), d.path)
	}
	if err != nil {
		return errors.Join(fmt.Errorf("writing the paired devices: %w", err), os.Remove(f.Name()))
	}
	return nil
}
