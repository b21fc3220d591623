package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"fairburn/browsertest"
)

// arrived is a TextTrackCue as the browser has it; Text is what it shows, with
// references resolved, or the raw text of metadata.
type arrived struct {
	Start, End float64
	Text       string
}

// loading adds a track to a video and gives its cues once they are loaded.
const loading = `(() => {
	window.cues = null; window.failed = false;
	const video = document.createElement("video"), track = document.createElement("track");
	track.kind = %q; track.src = "/" + %q; track.default = true;
	track.onerror = () => { window.failed = true };
	track.onload = () => {
		window.cues = JSON.stringify([...track.track.cues].map(c => ({
			Start: c.startTime, End: c.endTime, Text: track.kind === "metadata" ? c.text : c.getCueAsHTML().textContent,
		})));
	};
	video.append(track); document.body.replaceChildren(video); track.track.mode = "hidden";
	return true;
})()`

// Every cue of every track that the command writes arrives in Chromium with its
// times and its text, as kinds captions, chapters and metadata, also where names
// hold markup.
func TestTracksArriveInTheBrowser(t *testing.T) {
	dir := t.TempDir()
	trial := strings.ReplaceAll(string(demoSheet), `"Tansy"`, `"Tansy & <b>--> {\\an8}"`)
	for name, text := range map[string]string{"trial.toml": trial, "film.toml": example(t, "film.toml")} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	var out, said bytes.Buffer
	code := run(t.Context(), []string{"film", filepath.Join(dir, "film.toml"), "--sheet", filepath.Join(dir, "trial.toml"), "--json"}, streams{strings.NewReader(""), &out, &said})
	var made making
	if err := json.Unmarshal(out.Bytes(), &made); err != nil || code != done {
		t.Fatal(code, err, said.String(), out.String())
	}
	site := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/" {
			w.Header().Set("Content-Type", "text/html")
			fmt.Fprint(w, "<!doctype html><title>tracks</title>")
			return
		}
		w.Header().Set("Content-Type", "text/vtt")
		http.ServeFile(w, r, filepath.Join(made.Folder, filepath.Base(r.URL.Path)))
	}))
	defer site.Close()
	ctx := browsertest.Context(t)
	if err := chromedp.Do(ctx, chromedp.Navigate(site.URL)); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		kind, file string
		want       []cue
	}{{"captions", "captions.vtt", made.Captions}, {"chapters", "chapters.vtt", made.Chapters}} {
		got := cuesIn(ctx, t, c.kind, c.file)
		if len(got) != len(c.want) || len(got) < 3 {
			t.Fatalf("%s: %d cues of %d arrived", c.file, len(got), len(c.want))
		}
		for i, w := range c.want {
			if got[i] != (arrived(w)) {
				t.Errorf("%s: %+v arrived as %+v", c.file, w, got[i])
			}
		}
	}
	clock := cuesIn(ctx, t, "metadata", "clock.vtt")
	data, err := os.ReadFile(filepath.Join(made.Folder, "clock.vtt"))
	if err != nil || len(clock) != bytes.Count(data, []byte("-->")) || len(clock) < 300 {
		t.Fatalf("%d cues of the clock arrived: %v", len(clock), err)
	}
	for _, c := range clock {
		var r struct {
			Entry string
			From  float64 `json:"from_light_s"`
		}
		if err := json.Unmarshal([]byte(c.Text), &r); err != nil || c.End <= c.Start || !strings.Contains("Tansy & <b>--> {\\an8} Sorrel", r.Entry) || r.Entry == "" {
			t.Fatalf("%+v: %v", c, err)
		}
	}
}

// cuesIn are the cues of a track as the browser has them.
func cuesIn(ctx context.Context, t *testing.T, kind, file string) []arrived {
	t.Helper()
	if _, err := chromedp.Run(ctx, chromedp.Evaluate[bool](fmt.Sprintf(loading, kind, file))); err != nil {
		t.Fatal(err)
	}
	for range 400 {
		text, err := chromedp.Run(ctx, chromedp.Evaluate[string]("window.failed ? 'failed' : window.cues || ''"))
		if err != nil || text == "failed" {
			t.Fatalf("%s: %v %s", file, err, text)
		}
		if text != "" {
			var cues []arrived
			if err := json.Unmarshal([]byte(text), &cues); err != nil {
				t.Fatal(err)
			}
			return cues
		}
		time.Sleep(25 * time.Millisecond)
	}
	t.Fatalf("%s never loaded", file)
	return nil
}

// example is one of the examples of the documents.
func example(t *testing.T, name string) string {
	t.Helper()
	data, err := os.ReadFile("../../docs/examples/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}
