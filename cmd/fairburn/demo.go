package main

import (
	"context"
	_ "embed"
	"fmt"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"fairburn/report"
	"fairburn/sheet"
	"fairburn/trial"
	"fairburn/verdict"
)

// demoSheet is an invented trial, its readings written by hand.
//
//go:embed demo.toml
var demoSheet []byte

func (a *app) demoCommand() *cobra.Command {
	var once bool
	var out, addr string
	c := &cobra.Command{
		Use:   "demo",
		Short: "judge an invented trial, then show its report on this machine",
		Long: `demo judges an invented trial of four burners, prints the verdict, writes the
report and the sheet it came from, and serves the report on this machine until
it is stopped with Ctrl-C. Nothing leaves the machine.

Exit codes: 0 done, 1 failed, 2 misused.`,
		Example: `  fairburn demo
  fairburn demo --once
  fairburn demo --once --units us --out demo`,
		Args: between(0, 0, "no arguments"),
		RunE: func(c *cobra.Command, _ []string) error {
			return a.demo(c.Context(), once, out, addr)
		},
	}
	c.Flags().BoolVar(&once, "once", false, "stop after the report is written")
	c.Flags().StringVar(&out, "out", "", "folder to write to (default: fairburn/demo in the user's cache folder)")
	c.Flags().StringVar(&addr, "addr", "127.0.0.1:8417", "address to serve on; only this machine can reach the default")
	_ = c.MarkFlagDirname("out")
	return c
}

func (a *app) demo(ctx context.Context, once bool, out, addr string) error {
	r, v, err := a.judgeDemo()
	if err != nil {
		return err
	}
	o := a.options(r.Settings.System)
	if a.asJSON {
		return report.JSON(a.out, v, r)
	}
	if err := report.Terminal(a.out, v, r, o); err != nil {
		return err
	}
	if out == "" {
		cache, err := os.UserCacheDir()
		if err != nil {
			return hinted{fmt.Errorf("no folder for the report: %w", err), "name one with --out"}
		}
		out = filepath.Join(cache, "fairburn", "demo")
	}
	if err := os.MkdirAll(out, 0o755); err != nil {
		return hinted{fmt.Errorf("cannot make the folder for the report: %w", err), "name another with --out"}
	}
	page := filepath.Join(out, "report.html")
	if err := writePage(page, v, r, o); err != nil {
		return err
	}
	if err := writeWhole(filepath.Join(out, "trial.toml"), demoSheet); err != nil {
		return err
	}
	fmt.Fprintf(a.out, "\nreport: %s\nsheet:  %s\nnext:   write the burns of your own over a copy of that sheet, then fairburn judge COPY\n", page, filepath.Join(out, "trial.toml"))
	if once {
		return nil
	}
	return a.serve(ctx, addr, page)
}

func (a *app) judgeDemo() (*trial.Reduced, *verdict.Verdict, error) {
	t, fs, err := sheet.Read("demo.toml", demoSheet)
	if err != nil {
		return nil, nil, err
	}
	r := a.reduced(t, fs)
	return r, verdict.Judge(r), nil
}

// serve shows one page on this machine until the context ends.
func (a *app) serve(ctx context.Context, addr, page string) error {
	body, err := os.ReadFile(page)
	if err != nil {
		return err
	}
	l, err := net.Listen("tcp", addr)
	if err != nil {
		return hinted{fmt.Errorf("cannot serve the report: %w", err), "another program may hold the address: try --addr 127.0.0.1:0"}
	}
	s := &http.Server{Handler: onePage(body, l.Addr()), ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 10 * time.Second, WriteTimeout: 30 * time.Second, MaxHeaderBytes: 16 << 10}
	fmt.Fprintf(a.out, "open:   http://%s/  (Ctrl-C stops)\n", l.Addr())
	failed := make(chan error, 1)
	go func() { failed <- s.Serve(l) }()
	select {
	case err := <-failed:
		return fmt.Errorf("cannot serve the report any longer: %w", err)
	case <-ctx.Done():
	}
	quit, cancel := context.WithTimeout(context.WithoutCancel(ctx), 3*time.Second)
	defer cancel()
	if s.Shutdown(quit) != nil {
		return s.Close() // somebody has been asking for the page for all of that time
	}
	return nil
}

// onePage serves a page to browsers that ask for this machine. On a loopback
// address it answers to no other name, so that a web site that points its own
// name here cannot read it.
func onePage(body []byte, at net.Addr) http.Handler {
	hosts := []string{"localhost", "127.0.0.1", "::1"}
	if tcp, ok := at.(*net.TCPAddr); ok && !tcp.IP.IsLoopback() {
		hosts = []string{""}
	}
	mux := http.NewServeMux()
	for _, host := range hosts {
		mux.HandleFunc("GET "+host+"/{$}", func(w http.ResponseWriter, _ *http.Request) {
			h := w.Header()
			h.Set("Content-Type", "text/html; charset=utf-8")
			h.Set("X-Content-Type-Options", "nosniff")
			h.Set("X-Frame-Options", "DENY")
			h.Set("Referrer-Policy", "no-referrer")
			h.Set("Cache-Control", "no-store")
			_, _ = w.Write(body) // a reader who has left is no error
		})
	}
	return mux
}
