package guard

import (
	"bytes"
	"errors"
	"fmt"
	"html/template"
	"net/http"
)

const (
	// A paired device that followed a link from elsewhere has not sent its cookie; the
	// link in this text sends it.
	strangerText template.HTML = `<p>This server shows its pages to paired devices only. On the machine itself, ask for a pairing code and scan it with this device.</p><p>If it was paired before, <a href="/">open the first page</a>.</p>`

	foreignText template.HTML = `<p>This request was sent by a page of another site and was refused. Nothing was changed.</p><p><a href="/">To the first page</a></p>`

	ownerOnlyText template.HTML = `<p>This is done on the machine itself, not from a paired device. Nothing was changed.</p><p><a href="/">To the first page</a></p>`
)

func tooLarge(size, limit int64) template.HTML {
	return template.HTML(fmt.Sprintf("<p>What was sent has %d bytes: expected at most %d. Nothing was kept.</p>", size, limit))
}

var page = template.Must(template.New("page").Parse(`<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{{.Title}}</title>
<link rel="stylesheet" href="/style.css">
</head>
<body>
<main class="guard">
<h1>{{.Title}}</h1>
{{.Body}}
</main>
</body>
</html>
`))

// bare is the Render of a Config without one.
func bare(w http.ResponseWriter, _ *http.Request, status int, title string, body template.HTML) {
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	// A reader who has gone away is no error of ours.
	_ = page.Execute(w, struct {
		Title string
		Body  template.HTML
	}{title, body})
}

// The form has no action: it is sent to the address it was read from.
var pairForm = template.Must(template.New("pair").Parse(`{{with .Trouble}}<p class="trouble" role="alert">{{.}}</p>
{{end}}<form class="pair" method="post">
<label for="name">Name of this device</label>
<input id="name" name="name" required maxlength="{{.Max}}" autocomplete="off" placeholder="phone at station 2" value="{{.Name}}">
<button>Pair this device</button>
</form>
<p>A paired device may read and record for {{.Days}} days, until it is revoked on the machine itself.</p>`))

// pair serves /pair/{key}. Reading the page changes nothing, so that a camera which
// looks the address up first does no harm; the form's POST uses the key and leads to
// the first page. Both then come from this site's own page, so that a SameSite=Strict
// cookie is kept and sent even if the code was a link on another site.
func (g *Guard) pair(w http.ResponseWriter, r *http.Request, key string) {
	switch r.Method {
	case http.MethodGet, http.MethodHead:
		g.askName(w, r, http.StatusOK, nil)
	case http.MethodPost:
		g.take(w, r, key)
	default:
		w.Header().Set("Allow", "GET, HEAD, POST")
		g.config.Render(w, r, http.StatusMethodNotAllowed, "Not understood", "<p>This page is read or sent as a form.</p>")
	}
}

func (g *Guard) askName(w http.ResponseWriter, r *http.Request, status int, trouble error) {
	var body bytes.Buffer
	err := pairForm.Execute(&body, struct {
		Trouble   error
		Max, Days int
		Name      string
	}{trouble, maxName, int(TokenLife.Hours() / 24), r.PostFormValue("name")})
	if err != nil {
		panic("guard: the pairing form: " + err.Error()) // the template is part of the program
	}
	g.config.Render(w, r, status, "Pair this device", template.HTML(body.String()))
}

// take pairs by the form that was sent. A device that was paired before loses its
// earlier pairing, so that pairing again does not fill the register.
func (g *Guard) take(w http.ResponseWriter, r *http.Request, key string) {
	if err := r.ParseForm(); err != nil {
		g.config.Render(w, r, http.StatusBadRequest, "Not understood", "<p>The form could not be read. Scan the code again.</p>")
		return
	}
	token, device, err := g.config.Devices.Pair(key, r.PostForm.Get("name"))
	if err != nil {
		g.refused("did not pair a device from %s: %v", addressOf(r), err)
		g.askName(w, r, pairStatus(err), err)
		return
	}
	if old, ok := DeviceOf(r.Context()); ok {
		err = g.config.Devices.Revoke(old.ID)
	}
	g.log("paired %q (%s) from %s", device.Name, device.ID, addressOf(r))
	if err != nil {
		g.log("its earlier pairing stays: %v", err)
	}
	http.SetCookie(w, &http.Cookie{
		Name: cookieName(g.config.TLS), Value: token, Path: "/", MaxAge: int(TokenLife.Seconds()),
		HttpOnly: true, SameSite: http.SameSiteStrictMode, Secure: g.config.TLS,
	})
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

func pairStatus(err error) int {
	switch {
	case errors.Is(err, ErrName):
		return http.StatusBadRequest
	case errors.Is(err, ErrTooMany):
		return http.StatusTooManyRequests
	case errors.Is(err, ErrKey), errors.Is(err, ErrFull):
		return http.StatusForbidden
	}
	return http.StatusInternalServerError
}
