// Package browsertest starts headless chromium, for tests and for the scripts that
// take pictures. It is no part of the program.
package browsertest

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// patience is how long one test may use a browser.
const patience = time.Minute

// Start starts chromium with its profile in an empty folder. To it every name that
// ends in .test is this machine. stop ends it.
func Start(profile string) (ctx context.Context, stop func(), err error) {
	chromium, err := exec.LookPath("chromium")
	if err != nil {
		return nil, nil, fmt.Errorf("chromium is needed (package chromium): %w", err)
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(chromium), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true), chromedp.Flag("hide-scrollbars", true),
		chromedp.Flag("host-resolver-rules", "MAP *.test 127.0.0.1"), chromedp.UserDataDir(profile))
	process, end := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, close := chromedp.NewContext(process)
	stop = func() { close(); end() }
	if err := chromedp.Do(ctx); err != nil {
		stop()
		return nil, nil, fmt.Errorf("starting chromium: %w", err)
	}
	return ctx, stop, nil
}

// Context is a browser for one test. ./check installs chromium; without it the
// test fails, or is skipped where FAIRBURN_ALLOW_MISSING is set.
func Context(t testing.TB) context.Context {
	t.Helper()
	ctx, stop, err := Start(t.TempDir())
	Need(t, err)
	t.Cleanup(stop)
	ctx, cancel := context.WithTimeout(ctx, patience)
	t.Cleanup(cancel)
	return ctx
}

// Need fails a test whose browser did not start, or skips it where chromium is
// missing and may be.
func Need(t testing.TB, err error) {
	t.Helper()
	if errors.Is(err, exec.ErrNotFound) && os.Getenv("FAIRBURN_ALLOW_MISSING") != "" {
		t.Skip("NOT TESTED: chromium is not installed (package chromium)")
	}
	if err != nil {
		t.Fatal(err)
	}
}

// View is a way of looking at a page.
type View struct {
	Width, Height int64 // CSS pixels
	Phone         bool
	Scheme        string // what the reader's system prefers: "light" or "dark"
}

// Look sets the view of a tab.
func Look(ctx context.Context, v View) error {
	media := emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: v.Scheme}}}
	if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, media); err != nil {
		return err
	}
	metrics := emulation.SetDeviceMetricsOverrideParams{Width: v.Width, Height: v.Height, DeviceScaleFactor: 1, Mobile: v.Phone}
	_, err := chromedp.Call(ctx, emulation.SetDeviceMetricsOverride, metrics)
	return err
}
