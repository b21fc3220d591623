package main

import (
	"bytes"
	"context"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// The trips of the demo, and its repeat, are those of the documents.
func TestTheDemosSheetsAreTheExamples(t *testing.T) {
	for name, example := range map[string]string{"demo_weekend.toml": "weekend.toml", "demo_ten_days.toml": "ten-days.toml", "demo_repeated.toml": "repeated.toml"} {
		own, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		theirs, err := os.ReadFile(filepath.Join("../../docs/examples", example))
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(own, theirs) {
			t.Errorf("%s differs from docs/examples/%s: copy it anew", name, example)
		}
	}
}

// The demo's bench is served until its context ends; then its address is free
// and the bench is gone.
func TestServeStopsWithItsContext(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	b, err := demoBench(ctx)
	if err != nil {
		t.Fatal(err)
	}
	defer os.RemoveAll(filepath.Dir(b.place))
	told := make(chan string, 1)
	ended := make(chan error, 1)
	var out bytes.Buffer
	a := &app{streams: streams{out: &out, err: &out}}
	go func() {
		ended <- a.serve(ctx, b, serving{addr: "127.0.0.1:0", ready: func(at string) { told <- at }})
	}()
	address := <-told
	for path, want := range map[string]string{"/": "Four burners for an autumn walk", "/trial/Tansy%20against%20Yarrow%20on%20a%20frosty%20morning/bench": "Set up the next burn",
		"/trips": "A summer weekend", "/trip/A%20summer%20weekend": "Chance of running dry", "/trip/Ten%20cold%20days%20for%20two/card": "Marks for the cap"} {
		answer, err := http.Get(address + path)
		if err != nil {
			t.Fatal(err)
		}
		var body bytes.Buffer
		if _, err := body.ReadFrom(answer.Body); err != nil || !strings.Contains(body.String(), want) {
			t.Errorf("%s: no %q, %v", path, want, err)
		}
		answer.Body.Close()
	}
	stop()
	select {
	case err := <-ended:
		if err != nil {
			t.Error(err)
		}
	case <-time.After(20 * time.Second):
		t.Fatal("the server goes on after its context has ended")
	}
	l, err := net.Listen("tcp", strings.TrimPrefix(address, "http://"))
	if err != nil {
		t.Fatalf("the address is still held: %v", err)
	}
	l.Close()
	if err := b.store.Close(); err != nil {
		t.Error(err)
	}
}
