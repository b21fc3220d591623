package guard

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"time"
)

// Times and sizes of the server. Common practice, no source. A stream's handler lifts
// its own write deadline: http.NewResponseController(w).SetWriteDeadline(time.Time{}).
const (
	headTime     = 5 * time.Second  // to send the head of a request
	readTime     = 60 * time.Second // to send the whole request, a photo included
	writeTime    = 30 * time.Second // from the head to the end of the answer
	idleTime     = 120 * time.Second
	shutdownTime = 3 * time.Second
	maxHead      = 32 << 10 // bytes of a request's head
)

// TLSFiles names the PEM files of a certificate (with its chain) and its private key;
// both empty means no TLS.
type TLSFiles struct{ Cert, Key string }

// Serve answers on a listener until ctx ends, and closes it. Then the contexts of all
// requests end, so that event streams finish; other requests have three seconds to be
// answered before they are cut off. An orderly end is no error.
func Serve(ctx context.Context, l net.Listener, h http.Handler, files TLSFiles) error {
	defer l.Close()
	config, err := files.load()
	if err != nil {
		return err
	}
	return run(ctx, newServer(h, config), newFair(l))
}

func newServer(h http.Handler, config *tls.Config) *http.Server {
	return &http.Server{
		Handler:           h,
		TLSConfig:         config,
		ReadHeaderTimeout: headTime,
		ReadTimeout:       readTime,
		WriteTimeout:      writeTime,
		IdleTimeout:       idleTime,
		MaxHeaderBytes:    maxHead,
	}
}

func run(ctx context.Context, s *http.Server, l net.Listener) error {
	s.BaseContext = func(net.Listener) context.Context { return ctx }
	failed := make(chan error, 1)
	go func() {
		if s.TLSConfig != nil {
			failed <- s.ServeTLS(l, "", "")
		} else {
			failed <- s.Serve(l)
		}
	}()
	select {
	case err := <-failed:
		return fmt.Errorf("serving on %s: %w", l.Addr(), err)
	case <-ctx.Done():
	}
	grace, cancel := context.WithTimeout(context.WithoutCancel(ctx), shutdownTime)
	defer cancel()
	if err := s.Shutdown(grace); errors.Is(err, context.DeadlineExceeded) {
		return s.Close()
	} else if err != nil {
		return fmt.Errorf("closing %s: %w", l.Addr(), err)
	}
	return nil
}

// load reads the files; no files are no config.
func (f TLSFiles) load() (*tls.Config, error) {
	if f == (TLSFiles{}) {
		return nil, nil
	}
	if f.Cert == "" || f.Key == "" {
		return nil, errors.New("TLS needs both a certificate and its key: only one was given")
	}
	cert, err := os.ReadFile(f.Cert)
	if err != nil {
		return nil, fmt.Errorf("reading the certificate: %w", err)
	}
	key, err := os.ReadFile(f.Key)
	if err != nil {
		return nil, fmt.Errorf("reading the certificate's key: %w", err)
	}
	pair, err := tls.X509KeyPair(cert, key)
	if err != nil {
		return nil, fmt.Errorf("certificate %s with key %s: %w; expected PEM files that belong together", f.Cert, f.Key, err)
	}
	return &tls.Config{Certificates: []tls.Certificate{pair}, MinVersion: tls.VersionTLS12}, nil
}
