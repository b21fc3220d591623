package web

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"net/http"
	"path"
	"slices"
	"strings"
	"sync"

	"fairburn/carry"
	"fairburn/quantity"
	"fairburn/report"
	"fairburn/web/guard"
)

//go:embed page
var pageFiles embed.FS

// functions are what templates may call.
var functions = template.FuncMap{
	"at":        at,
	"marker":    report.Marker,
	"sprite":    report.Sprite,
	"capital":   capital,
	"photoPath": photoPath,
	"days":      func(t carry.Trip) string { return counted(daysOf(&t), "day") },
	"clock":     func(d interface{ Seconds() float64 }) string { return clock(d.Seconds()) },
}

// sharedFiles hold what several pages show.
var sharedFiles = []string{"page/layout.html", "page/form.html", "page/photos.html", "page/kin.html"}

// templates holds each page with the layout.
var templates = parsePages()

func parsePages() map[string]*template.Template {
	all := map[string]*template.Template{}
	files, err := pageFiles.ReadDir("page")
	if err != nil {
		panic(err)
	}
	for _, f := range files {
		if path.Ext(f.Name()) != ".html" || slices.Contains(sharedFiles, "page/"+f.Name()) {
			continue
		}
		t := template.New("layout.html").Funcs(functions)
		all[f.Name()] = template.Must(t.ParseFS(pageFiles, append(sharedFiles[:len(sharedFiles):len(sharedFiles)], "page/"+f.Name())...))
	}
	return all
}

// frame is what the layout needs of every page.
type frame struct {
	Title    string // of the page
	Section  string // "trials", "trips", "shelf", "journal" or "devices"
	Live     string // title of the trial whose changes reload the page; "*" for any
	Units    string
	Other    string // the units it is not in
	Path     string
	Role     guard.Role
	Done     done
	Place    string
	Tester   string
	Version  string
	Scripts  []string // modules, by their addresses
	Wide     bool
	Body     any
	Stranger bool
}

// Owner reports whether the page is seen at the machine itself.
func (f frame) Owner() bool { return f.Role == guard.Owner }

// show writes a page. The template is the file's name; its "main" gets f.Body.
func (s *Site) show(w http.ResponseWriter, r *http.Request, file string, f frame) error {
	return s.showStatus(w, r, http.StatusOK, file, f)
}

func (s *Site) showStatus(w http.ResponseWriter, r *http.Request, status int, file string, f frame) error {
	f.Role, f.Path, f.Done = guard.RoleOf(r.Context()), r.URL.EscapedPath(), doneOf(r)
	f.Place, f.Tester, f.Version = s.Place, s.Bench.Tester(), s.Version
	f.Stranger = f.Role == guard.Stranger
	f.Units = cmp.Or(f.Units, chosenUnits(r))
	f.Other = "us"
	if f.Units == f.Other {
		f.Other = "metric"
	}
	b := pageBuffers.Get().(*bytes.Buffer)
	defer pageBuffers.Put(b)
	b.Reset()
	if err := templates[file].ExecuteTemplate(b, "layout.html", f); err != nil {
		return fmt.Errorf("page %s: %w", file, err)
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, _ = b.WriteTo(w) // a reader who has left is no error
	return nil
}

// said is a page of a heading and a text, which is escaped unless it is HTML.
type said struct {
	Title string
	Text  any
}

// pageBuffers hold pages until they are whole; a verdict has half a megabyte.
var pageBuffers = sync.Pool{New: func() any { return new(bytes.Buffer) }}

// renderBare is a page of the guard's in the site's layout.
func (s *Site) renderBare(w http.ResponseWriter, r *http.Request, status int, title string, body template.HTML) {
	if err := s.showStatus(w, r, status, "bare.html", frame{Title: title, Body: said{title, body}}); err != nil {
		http.Error(w, title, status)
	}
}

// renderError says what went wrong, in words; a program gets them alone.
func (s *Site) renderError(w http.ResponseWriter, r *http.Request, status int, what string, err error) {
	if strings.HasPrefix(r.Header.Get("Accept"), "application/json") {
		writeJSON(w, status, map[string]string{"error": err.Error()})
		return
	}
	if s.showStatus(w, r, status, "error.html", frame{Title: what, Body: said{what, err.Error()}}) != nil {
		http.Error(w, err.Error(), status)
	}
}

// unitsCookie remembers the units a reader chose.
const unitsCookie = "units"

func chosenUnits(r *http.Request) string {
	c, err := r.Cookie(unitsCookie)
	if err != nil || c.Value != "us" {
		return "metric"
	}
	return c.Value
}

// system are the units for a page: those chosen, else the trial's own.
func system(r *http.Request, own quantity.System) quantity.System {
	c, err := r.Cookie(unitsCookie)
	var sys quantity.System
	if err != nil || sys.UnmarshalText([]byte(c.Value)) != nil {
		return own
	}
	return sys
}

func (s *Site) setUnits(w http.ResponseWriter, r *http.Request) error {
	var sys quantity.System
	if err := sys.UnmarshalText([]byte(r.PostFormValue("units"))); err != nil {
		return refuse("units %.20q: expected metric or us", r.PostFormValue("units"))
	}
	http.SetCookie(w, &http.Cookie{Name: unitsCookie, Value: sys.String(), Path: "/", MaxAge: 400 * 86400, HttpOnly: true, SameSite: http.SameSiteLaxMode, Secure: s.TLS})
	return back(w, r, local(r.PostFormValue("to")), done{})
}

// files serves the style sheet and the scripts, each with a tag by which a
// browser keeps it until it changes.
func (s *Site) files(mux *http.ServeMux) {
	own := func(names ...string) []byte {
		var all []byte
		for _, n := range names {
			data, err := pageFiles.ReadFile("page/" + n)
			if err != nil {
				panic(err)
			}
			all = append(all, data...)
		}
		return all
	}
	serve := func(name, kind string, data []byte) {
		sum := sha256.Sum256(data)
		tag := `"` + base64.RawURLEncoding.EncodeToString(sum[:9]) + `"`
		mux.HandleFunc("GET /"+name, func(w http.ResponseWriter, r *http.Request) {
			h := w.Header()
			h.Set("ETag", tag)
			h.Set("Cache-Control", "no-cache")
			if r.Header.Get("If-None-Match") == tag {
				w.WriteHeader(http.StatusNotModified)
				return
			}
			h.Set("Content-Type", kind)
			_, _ = w.Write(data)
		})
	}
	serve("style.css", "text/css; charset=utf-8", append(report.Style(), own("app.css")...))
	serve("script.js", "text/javascript; charset=utf-8", append(report.Script(), own("app.js")...))
	serve("carry.js", "text/javascript; charset=utf-8", own("carry.js"))
	for _, name := range timingScripts {
		serve("timing/"+name, "text/javascript; charset=utf-8", own("timing/"+name))
	}
	serve("icon.svg", "image/svg+xml", own("icon.svg"))
}

// clock prints seconds as m:ss.
func clock(seconds float64) string {
	s := int(seconds)
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}
