package main

import (
	"context"
	"crypto/rand"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"os"
	"time"

	"github.com/spf13/cobra"

	"fairburn/web"
	"fairburn/web/guard"
)

// serving is how the pages are to be served.
type serving struct {
	addr  string
	lan   bool
	files guard.TLSFiles
	ready func(address string) // told where the pages are; nil for nobody
}

func (a *app) openCommand() *cobra.Command {
	var to serving
	var name string
	c := &cobra.Command{
		Use:   "open",
		Short: "open the bench in a browser: shelf, trials, timing, verdicts",
		Long: `open serves the pages of the bench until it is stopped with Ctrl-C. Only this
machine can reach them, unless --lan is given: then it prints an address and a QR
code by which one phone is paired. A paired phone may read, mark and record;
pairing, shunning and backing up stay with whoever sits at this machine. A key
works once and for ten minutes; the page Phones makes more and takes back what was
paired. Every program on this machine counts as its owner.

Without TLS whoever listens on the network can read what passes. In a network with
strangers in it give --cert and --key, made for the name that the phones use.

A mark that a page shows as kept is on the disk. Pages keep marks while the bench
cannot be reached and deliver them when it is back.

Exit codes: 0 done, 1 failed, 2 misused.`,
		Example: `  fairburn open
  fairburn open --lan
  fairburn open --lan --cert phones.crt --key phones.pem
  fairburn open --bench club.db --addr 127.0.0.1:9000`,
		Args: between(0, 0, "no arguments"),
		RunE: func(c *cobra.Command, _ []string) error {
			if (to.files.Cert == "") != (to.files.Key == "") {
				return usage{errors.New("--cert and --key go together")}
			}
			b, err := a.openBench(c.Context(), true, name)
			if err != nil {
				return err
			}
			return errors.Join(a.serve(c.Context(), b, to), b.store.Close())
		},
	}
	f := c.Flags()
	f.StringVar(&to.addr, "addr", "", "address to serve on (default 127.0.0.1:8417, with --lan 0.0.0.0:8417)")
	f.BoolVar(&to.lan, "lan", false, "let paired phones on the local network in")
	f.StringVar(&to.files.Cert, "cert", "", "TLS certificate, PEM")
	f.StringVar(&to.files.Key, "key", "", "its private key, PEM")
	f.StringVar(&name, "name", "", "what you want to be called in the records (default: the last one)")
	_ = c.MarkFlagFilename("cert", "pem", "crt")
	_ = c.MarkFlagFilename("key", "pem", "key")
	return c
}

// serve shows the pages of a bench until the context ends.
func (a *app) serve(ctx context.Context, b *openedBench, to serving) error {
	if to.addr == "" {
		to.addr = "127.0.0.1:8417"
		if to.lan {
			to.addr = "0.0.0.0:8417"
		}
	}
	if to.files.Cert != "" { // said before anybody is told an address
		if _, err := tls.LoadX509KeyPair(to.files.Cert, to.files.Key); err != nil {
			return hinted{fmt.Errorf("cannot use --cert and --key: %w", err), "give a certificate and its own key, both PEM"}
		}
	}
	l, err := net.Listen("tcp", to.addr)
	if err != nil {
		return hinted{fmt.Errorf("cannot serve the pages: %w", err), "another fairburn may be open: use that, or choose another port such as --addr 127.0.0.1:9000"}
	}
	site, err := a.site(ctx, b, to, l.Addr())
	if err != nil {
		return errors.Join(err, l.Close())
	}
	if err := a.tellAddresses(site, l.Addr(), to); err != nil {
		return errors.Join(err, l.Close())
	}
	if err := guard.Serve(ctx, l, site.Handler(), to.files); err != nil {
		return fmt.Errorf("cannot serve the pages any longer: %w", err)
	}
	return nil
}

// site makes the pages; it answers to the names and addresses of this machine on the
// network.
func (a *app) site(ctx context.Context, b *openedBench, to serving, at net.Addr) (*web.Site, error) {
	devices, err := guard.OpenDevices(b.devices(), time.Now, rand.Reader)
	switch {
	case errors.Is(err, guard.ErrDamaged):
		fmt.Fprintln(a.err, "fairburn: note:", err)
	case err != nil:
		return nil, err
	}
	c := web.Config{Bench: b.Bench, Store: b.store, Place: b.place, Devices: devices, LAN: to.lan, TLS: to.files.Cert != "", Version: version, Now: time.Now,
		Log: func(line string) { fmt.Fprintln(a.err, "fairburn: note:", line) }}
	if to.lan {
		c.Hosts = guard.Addresses()
		if name, err := os.Hostname(); err == nil {
			c.Hosts = append(c.Hosts, name, name+".local")
		}
		c.Root = func() string {
			if now := guard.Addresses(); len(now) > 0 {
				return address(c.TLS, now[0], at)
			}
			return ""
		}
	}
	return web.New(ctx, c), nil
}

// address is where pages are under a host.
func address(tls bool, host string, at net.Addr) string {
	scheme := "http"
	if tls {
		scheme = "https"
	}
	_, port, err := net.SplitHostPort(at.String())
	if err != nil {
		port = "80"
	}
	return scheme + "://" + net.JoinHostPort(host, port)
}

// tellAddresses says where the pages are and how a phone gets in.
func (a *app) tellAddresses(site *web.Site, at net.Addr, to serving) error {
	here := address(site.TLS, "localhost", at)
	fmt.Fprintf(a.out, "bench:  %s\nopen:   %s/  (Ctrl-C stops)\n", site.Place, here)
	if to.ready != nil {
		to.ready(here)
	}
	if !to.lan {
		return nil
	}
	root := site.Root()
	if root == "" {
		fmt.Fprintln(a.out, "phones: this machine has no address on a local network now; join one, and the page Phones makes a code")
		return nil
	}
	key, err := site.Devices.NewKey()
	if err != nil {
		return err
	}
	link := root + "/pair/" + key.Text
	code, err := guard.QRText(link, isTerminal(a.out))
	if err != nil {
		return err
	}
	fmt.Fprintf(a.out, "phones: %s\n        works once, until %s; the page Phones makes more\n%s", link, key.Until.Format("15:04"), code)
	return nil
}

// isTerminal reports whether what is written is seen on a screen.
func isTerminal(w any) bool {
	f, ok := w.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}
