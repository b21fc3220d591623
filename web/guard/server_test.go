package guard

import (
	"bufio"
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"fmt"
	"io"
	"math/big"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

func listen(t *testing.T) net.Listener {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// started runs a server and gives its address and a stop that returns its error.
func started(t *testing.T, s *http.Server) (addr string, stop func() error) {
	t.Helper()
	l := listen(t)
	ctx, cancel := context.WithCancel(context.Background())
	t.Cleanup(cancel)
	done := make(chan error, 1)
	go func() { done <- run(ctx, s, l) }()
	return l.Addr().String(), func() error { cancel(); return <-done }
}

func TestServerLimits(t *testing.T) {
	s := newServer(nil, nil)
	for _, row := range []struct {
		name      string
		got, want time.Duration
	}{
		{"ReadHeaderTimeout", s.ReadHeaderTimeout, 5 * time.Second},
		{"ReadTimeout", s.ReadTimeout, 60 * time.Second},
		{"WriteTimeout", s.WriteTimeout, 30 * time.Second},
		{"IdleTimeout", s.IdleTimeout, 120 * time.Second},
	} {
		if row.got != row.want {
			t.Errorf("%s: %s, wanted %s", row.name, row.got, row.want)
		}
	}
	if s.MaxHeaderBytes != 32<<10 {
		t.Error(s.MaxHeaderBytes)
	}
}

// TestSlowHead sends a request's head a byte at a time and never ends it.
func TestSlowHead(t *testing.T) {
	s := newServer(http.NotFoundHandler(), nil)
	s.ReadHeaderTimeout = 100 * time.Millisecond
	addr, stop := started(t, s)
	c, err := net.Dial("tcp", addr)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	go func() {
		for _, b := range []byte("GET / HTTP/1.1\r\nHost: localhost\r\nX-Slow: " + strings.Repeat("x", 1000)) {
			if _, err := c.Write([]byte{b}); err != nil {
				return
			}
			time.Sleep(10 * time.Millisecond)
		}
	}()
	c.SetReadDeadline(time.Now().Add(10 * time.Second))
	if answer, err := io.ReadAll(c); strings.Contains(string(answer), "404") || os.IsTimeout(err) {
		t.Errorf("the slow head was waited for: %q, %v", answer, err)
	}
	if err := stop(); err != nil {
		t.Error(err)
	}
}

func TestHeadTooLarge(t *testing.T) {
	addr, _ := started(t, newServer(http.NotFoundHandler(), nil))
	r, err := http.NewRequest("GET", "http://"+addr+"/", nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("X-Large", strings.Repeat("x", 64<<10))
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	if answer.StatusCode != http.StatusRequestHeaderFieldsTooLarge {
		t.Error(answer.Status)
	}
}

// TestSlowPhoto uploads for longer than the server's WriteTimeout.
func TestSlowPhoto(t *testing.T) {
	g := New(Config{Large: []string{"POST /photo"}})
	s := newServer(g.Handler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		n, err := io.Copy(io.Discard, r.Body)
		fmt.Fprint(w, n, err)
	})), nil)
	s.WriteTimeout = 50 * time.Millisecond
	addr, _ := started(t, s)
	body, photo := io.Pipe()
	go func() {
		for range 5 {
			photo.Write([]byte("pixels"))
			time.Sleep(30 * time.Millisecond)
		}
		photo.Close()
	}()
	answer, err := http.Post("http://"+addr+"/photo", "image/jpeg", body)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	if text, err := io.ReadAll(answer.Body); err != nil || string(text) != "30<nil>" && string(text) != "30 <nil>" {
		t.Errorf("%q, %v", text, err)
	}
}

// TestBodyTooLargeOnAConnection sends what was declared small without end.
func TestBodyTooLargeOnAConnection(t *testing.T) {
	g := New(Config{})
	addr, _ := started(t, newServer(g.Handler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if _, err := io.Copy(io.Discard, r.Body); err != nil {
			http.Error(w, err.Error(), http.StatusRequestEntityTooLarge)
		}
	})), nil))
	answer, err := http.Post("http://"+addr+"/", "text/plain", io.LimitReader(endless{}, 4*MaxBody))
	if err == nil {
		answer.Body.Close()
		if answer.StatusCode != http.StatusRequestEntityTooLarge {
			t.Error(answer.Status)
		}
	} else if !strings.Contains(err.Error(), "write") && !strings.Contains(err.Error(), "reset") {
		t.Error(err)
	}
}

// TestStreamsEndAtShutdown holds an event stream open beyond the WriteTimeout and
// ends it with the server.
func TestStreamsEndAtShutdown(t *testing.T) {
	s := newServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		rc := http.NewResponseController(w)
		rc.SetWriteDeadline(time.Time{})
		for r.Context().Err() == nil {
			fmt.Fprint(w, "data: tick\n\n")
			rc.Flush()
			time.Sleep(10 * time.Millisecond)
		}
		fmt.Fprint(w, "data: end\n\n")
	}), nil)
	s.WriteTimeout = 30 * time.Millisecond
	addr, stop := started(t, s)
	answer, err := http.Get("http://" + addr + "/")
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	lines := bufio.NewReader(answer.Body)
	for range 20 { // about 100 ms
		if _, err := lines.ReadString('\n'); err != nil {
			t.Fatal(err)
		}
	}
	begin := time.Now()
	if err := stop(); err != nil || time.Since(begin) > shutdownTime {
		t.Errorf("%v after %s", err, time.Since(begin))
	}
	if rest, err := io.ReadAll(lines); err != nil || !strings.HasSuffix(string(rest), "data: end\n\n") {
		t.Errorf("%q, %v", rest, err)
	}
}

// certificate writes a new self-signed pair and returns its names.
func certificate(t *testing.T, dir, name string) TLSFiles {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	of := &x509.Certificate{SerialNumber: big.NewInt(1), IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)},
		NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour), IsCA: true, BasicConstraintsValid: true}
	cert, err := x509.CreateCertificate(rand.Reader, of, of, &key.PublicKey, key)
	if err != nil {
		t.Fatal(err)
	}
	secret, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		t.Fatal(err)
	}
	f := TLSFiles{filepath.Join(dir, name+".crt"), filepath.Join(dir, name+".key")}
	for file, block := range map[string]*pem.Block{f.Cert: {Type: "CERTIFICATE", Bytes: cert}, f.Key: {Type: "PRIVATE KEY", Bytes: secret}} {
		if err := os.WriteFile(file, pem.EncodeToMemory(block), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return f
}

func TestServeTLS(t *testing.T) {
	files := certificate(t, t.TempDir(), "bench")
	pem, err := os.ReadFile(files.Cert)
	if err != nil {
		t.Fatal(err)
	}
	roots := x509.NewCertPool()
	roots.AppendCertsFromPEM(pem)
	client := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: roots}, ForceAttemptHTTP2: true}}

	l := listen(t)
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- Serve(ctx, l, New(Config{TLS: true}).Handler(http.NotFoundHandler()), files) }()
	answer, err := client.Get("https://" + l.Addr().String() + "/")
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	if answer.StatusCode != http.StatusNotFound || answer.TLS == nil || answer.ProtoMajor != 2 {
		t.Errorf("%s over %s", answer.Status, answer.Proto)
	}
	client.CloseIdleConnections()
	cancel()
	if err := <-done; err != nil {
		t.Error(err)
	}
}

func TestTLSFilesThatDoNotServe(t *testing.T) {
	dir := t.TempDir()
	one, two := certificate(t, dir, "one"), certificate(t, dir, "two")
	none := filepath.Join(dir, "none")
	for _, row := range []struct {
		files TLSFiles
		want  string
	}{
		{TLSFiles{Cert: one.Cert}, "TLS needs both a certificate and its key: only one was given"},
		{TLSFiles{Key: one.Key}, "TLS needs both a certificate and its key: only one was given"},
		{TLSFiles{none, one.Key}, "reading the certificate: open " + none + ": no such file or directory"},
		{TLSFiles{one.Cert, none}, "reading the certificate's key: open " + none + ": no such file or directory"},
		{TLSFiles{one.Cert, two.Key}, "certificate " + one.Cert + " with key " + two.Key + ": tls: private key does not match public key; expected PEM files that belong together"},
		{TLSFiles{one.Key, one.Cert}, "expected PEM files that belong together"},
	} {
		l := listen(t)
		err := Serve(context.Background(), l, http.NotFoundHandler(), row.files)
		if err == nil || !strings.HasSuffix(err.Error(), row.want) {
			t.Errorf("%+v: %v, wanted %s", row.files, err, row.want)
		}
		if c, err := net.Dial("tcp", l.Addr().String()); err == nil {
			c.Close()
			t.Errorf("%+v: the listener is still open", row.files)
		}
	}
}

func TestServeTellsALostListener(t *testing.T) {
	l := listen(t)
	l.Close()
	err := Serve(context.Background(), l, http.NotFoundHandler(), TLSFiles{})
	if err == nil || !strings.HasPrefix(err.Error(), "serving on 127.0.0.1:") {
		t.Error(err)
	}
}
