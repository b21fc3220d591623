package web

import (
	"html/template"
	"net/http"
	"time"

	"fairburn/web/guard"
)

// ownerPages are what only the owner at the machine may see and do.
func (s *Site) ownerPages() map[string]handler {
	return map[string]handler{
		"GET /devices":             s.devices,
		"POST /devices/key":        s.newKey,
		"POST /devices/revoke":     s.revoke,
		"POST /devices/revoke-all": s.revokeAll,
		"GET /journal/records.txt": s.records,
		"POST /journal/merge":      s.merge,
		"POST /journal/verify":     s.verify,
		"POST /journal/backup":     s.backup,
		"POST /journal/shun":       s.shun,

		"GET /trial/{title}/publish":  s.askPublish,
		"POST /trial/{title}/publish": s.publish,
	}
}

// devicesBody is what the page of paired phones shows.
type devicesBody struct {
	Paired []guard.Device
	LAN    bool
	TLS    bool
	Root   string
	Key    guard.Key // just drawn; none without its text
	Link   string
	Code   template.HTML
	Days   int
	Now    time.Time
}

// devices lists what is paired with this bench.
func (s *Site) devices(w http.ResponseWriter, r *http.Request) error {
	return s.showDevices(w, r, devicesBody{})
}

func (s *Site) showDevices(w http.ResponseWriter, r *http.Request, b devicesBody) error {
	b.Paired, b.LAN, b.TLS, b.Root = s.Devices.List(), s.LAN, s.TLS, s.Root()
	b.Days, b.Now = int(guard.TokenLife.Hours()/24), s.Now()
	return s.show(w, r, "devices.html", frame{Title: "Phones", Section: "devices", Body: b})
}

// newKey shows the code by which one phone is paired. The answer is not kept by
// the browser and the key stands in no address that is visited here.
func (s *Site) newKey(w http.ResponseWriter, r *http.Request) error {
	root := s.Root()
	if !s.LAN || root == "" {
		return refuse("phones cannot reach this bench now: join a network; if it was opened without --lan, stop it and run fairburn open --lan")
	}
	key, err := s.Devices.NewKey()
	if err != nil {
		return err
	}
	b := devicesBody{Key: key, Link: root + "/pair/" + key.Text}
	if b.Code, err = guard.QRSVG(b.Link); err != nil {
		return err
	}
	return s.showDevices(w, r, b)
}

// revoke ends the pairing of one device.
func (s *Site) revoke(w http.ResponseWriter, r *http.Request) error {
	id := r.PostFormValue("id")
	for _, d := range s.Devices.List() {
		if d.ID != id {
			continue
		}
		if err := s.Devices.Revoke(id); err != nil {
			return err
		}
		return back(w, r, "/devices", done{Said: "revoked: " + d.Name})
	}
	return refuse("device %.20q: expected one that is paired", id)
}

// revokeAll ends every pairing, and the keys that nobody has used.
func (s *Site) revokeAll(w http.ResponseWriter, r *http.Request) error {
	if err := s.Devices.RevokeAll(); err != nil {
		return err
	}
	return back(w, r, "/devices", done{Said: "every phone and every open code is revoked"})
}
