package main

import (
	"bytes"
	"context"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// On a loopback address the page is given to names of this machine only.
func TestPageAnswersToThisMachineOnly(t *testing.T) {
	local, open := &net.TCPAddr{IP: net.IPv4(127, 0, 0, 1), Port: 8417}, &net.TCPAddr{IP: net.IPv4zero, Port: 8417}
	for _, row := range []struct {
		at           net.Addr
		method, host string
		path         string
		code         int
	}{
		{local, "GET", "127.0.0.1:8417", "/", http.StatusOK},
		{local, "GET", "localhost:8417", "/", http.StatusOK},
		{local, "GET", "[::1]:8417", "/", http.StatusOK},
		{local, "HEAD", "localhost:8417", "/", http.StatusOK},
		{local, "GET", "elsewhere.example:8417", "/", http.StatusNotFound},
		{local, "GET", "localhost:8417", "/trial.toml", http.StatusNotFound},
		{local, "POST", "localhost:8417", "/", http.StatusMethodNotAllowed},
		{open, "GET", "bench.example:8417", "/", http.StatusOK},
	} {
		r := httptest.NewRequest(row.method, row.path, nil)
		r.Host = row.host
		w := httptest.NewRecorder()
		onePage([]byte("page"), row.at).ServeHTTP(w, r)
		if w.Code != row.code {
			t.Errorf("%s %s%s: %d, expected %d", row.method, row.host, row.path, w.Code, row.code)
		}
		if row.code == http.StatusOK && w.Header().Get("X-Content-Type-Options") != "nosniff" {
			t.Errorf("%s %s%s: headers %v", row.method, row.host, row.path, w.Header())
		}
	}
}

// The server gives the page until its context ends, and then lets go of its
// address.
func TestServeStopsWithItsContext(t *testing.T) {
	page := filepath.Join(t.TempDir(), "report.html")
	if err := os.WriteFile(page, []byte("page"), 0o600); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	told := make(chan string, 1)
	ended := make(chan error, 1)
	a := &app{streams: streams{out: said(told)}}
	go func() { ended <- a.serve(ctx, "127.0.0.1:0", page) }()
	_, rest, _ := strings.Cut(<-told, "http://")
	host, _, _ := strings.Cut(rest, "/")
	answer, err := http.Get("http://" + host + "/")
	if err != nil {
		t.Fatal(err)
	}
	var body bytes.Buffer
	if _, err := body.ReadFrom(answer.Body); err != nil || body.String() != "page" {
		t.Errorf("got %q, %v", body.String(), err)
	}
	answer.Body.Close()
	stop()
	select {
	case err := <-ended:
		if err != nil {
			t.Error(err)
		}
	case <-time.After(20 * time.Second):
		t.Fatal("the server goes on after its context has ended")
	}
	l, err := net.Listen("tcp", host)
	if err != nil {
		t.Fatalf("the address is still held: %v", err)
	}
	l.Close()
}

// said hands on each thing that is written.
type said chan string

func (s said) Write(p []byte) (int, error) {
	s <- string(p)
	return len(p), nil
}
