// Command pictures takes the pictures of the README from the real program: it
// judges the demo and photographs its report in headless chromium. Run it from
// the project's root: go run ./scripts/pictures
package main

import (
	"context"
	"fmt"
	"log"
	"os"
	"os/exec"
	"path/filepath"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// shot is one picture of the report.
type shot struct {
	name          string
	width, height int64
	phone         bool
	scheme        string // prefers-color-scheme
	at            string // selector brought to the top
}

var shots = []shot{
	{"verdict.png", 1180, 900, false, "light", "body"},
	{"pictures.png", 1180, 1150, false, "light", "#pictures"},
	{"phone.png", 390, 844, true, "dark", "body"},
}

func main() {
	if err := run(); err != nil {
		log.Fatal(err)
	}
}

func run() error {
	work, err := os.MkdirTemp("", "pictures")
	if err != nil {
		return err
	}
	defer os.RemoveAll(work)
	if out, err := exec.Command("go", "run", "./cmd/fairburn", "demo", "--once", "--out", work).CombinedOutput(); err != nil {
		return fmt.Errorf("demo: %w: %s", err, out)
	}
	chromium, err := exec.LookPath("chromium")
	if err != nil {
		return fmt.Errorf("chromium is needed for pictures: %w", err)
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(chromium), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("hide-scrollbars", true), chromedp.UserDataDir(filepath.Join(work, "profile")))
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), options...)
	defer cancel()
	ctx, cancel = chromedp.NewContext(ctx)
	defer cancel()
	ctx, cancel = context.WithTimeout(ctx, 2*time.Minute)
	defer cancel()
	if err := os.MkdirAll("docs/pictures", 0o755); err != nil {
		return err
	}
	for _, s := range shots {
		if err := s.take(ctx, "file://"+filepath.Join(work, "report.html")); err != nil {
			return fmt.Errorf("%s: %w", s.name, err)
		}
	}
	return nil
}

func (s shot) take(ctx context.Context, url string) error {
	media := emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: s.scheme}}}
	metrics := emulation.SetDeviceMetricsOverrideParams{Width: s.width, Height: s.height, DeviceScaleFactor: 1, Mobile: s.phone}
	if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, media); err != nil {
		return err
	}
	if _, err := chromedp.Call(ctx, emulation.SetDeviceMetricsOverride, metrics); err != nil {
		return err
	}
	if err := chromedp.Do(ctx, chromedp.Navigate(url)); err != nil {
		return err
	}
	top := fmt.Sprintf("(document.querySelector(%q).scrollIntoView({behavior: 'instant'}), true)", s.at)
	if _, err := chromedp.Run(ctx, chromedp.Evaluate[bool](top)); err != nil {
		return err
	}
	png, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join("docs/pictures", s.name), png, 0o644)
}
