// Command look photographs every page of an open bench, on phone and desktop
// width, light and dark, into the folder review (which is not kept), for a person
// to look at. Open a bench first, then from the project's root:
//
//	go run ./scripts/look http://localhost:8417 [path...]
//
// Without paths it follows the links of the pages, each kind of page once.
package main

import (
	"context"
	"fmt"
	"log"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"time"

	"github.com/chromedp/chromedp"

	"fairburn/browsertest"
)

const folder = "review"

var views = []view{
	{"phone-light", browsertest.View{Width: 390, Height: 844, Phone: true, Scheme: "light"}},
	{"phone-dark", browsertest.View{Width: 390, Height: 844, Phone: true, Scheme: "dark"}},
	{"desk-light", browsertest.View{Width: 1280, Height: 800, Scheme: "light"}},
	{"desk-dark", browsertest.View{Width: 1280, Height: 800, Scheme: "dark"}},
}

func main() {
	if len(os.Args) < 2 {
		log.Fatal("usage: go run ./scripts/look ADDRESS [path...]")
	}
	if err := run(strings.TrimSuffix(os.Args[1], "/"), os.Args[2:]); err != nil {
		log.Fatal(err)
	}
}

func run(root string, paths []string) error {
	profile, err := os.MkdirTemp("", "look")
	if err != nil {
		return err
	}
	defer os.RemoveAll(profile)
	ctx, stop, err := browsertest.Start(profile)
	if err != nil {
		return err
	}
	defer stop()
	ctx, cancel := context.WithTimeout(ctx, 10*time.Minute)
	defer cancel()
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	if len(paths) == 0 {
		if paths, err = crawl(ctx, root); err != nil {
			return err
		}
	}
	for i, p := range paths {
		for _, v := range views {
			if err := v.take(ctx, root+p, fmt.Sprintf("%02d-%s-%s.png", i, name(p), v.name)); err != nil {
				return fmt.Errorf("%s: %w", p, err)
			}
		}
		fmt.Println(i, p)
	}
	return nil
}

var unnamed = regexp.MustCompile(`[^a-z0-9]+`)

func name(path string) string {
	path, _ = url.PathUnescape(path)
	s := strings.Trim(unnamed.ReplaceAllString(strings.ToLower(path), "-"), "-")
	return s[:min(len(s), 50)]
}

// crawl follows links, one page of each kind: what varies in a path is names
// and numbers, and the first of each stands for all.
func crawl(ctx context.Context, root string) ([]string, error) {
	var paths []string
	kinds := map[string]bool{}
	for queue := []string{"/"}; len(queue) > 0; queue = queue[1:] {
		if kind := kindOf(queue[0]); kinds[kind] {
			continue
		} else {
			kinds[kind] = true
		}
		paths = append(paths, queue[0])
		if err := chromedp.Do(ctx, chromedp.Navigate(root+queue[0])); err != nil {
			return nil, err
		}
		links, err := chromedp.Run(ctx, chromedp.Evaluate[[]string](`[...document.querySelectorAll("a[href^='/']")].filter(a => !/\.(toml|csv|html|json|txt)$/.test(a.pathname)).map(a => a.pathname + a.search)`))
		if err != nil {
			return nil, err
		}
		queue = append(queue, links...)
	}
	return paths, nil
}

// kindOf is a path without names: /trial/x/burn/7 and /trial/y/burn/8 are of one kind.
func kindOf(path string) string {
	path, _, _ = strings.Cut(path, "?")
	parts := strings.Split(path, "/")
	for i := 2; i < len(parts); i++ {
		switch parts[i-1] {
		case "trial", "burn", "record", "burner", "photo":
			parts[i] = "*"
		}
	}
	return strings.Join(parts, "/")
}

// view is one way of looking at a page.
type view struct {
	name string
	browsertest.View
}

func (v view) take(ctx context.Context, address, file string) error {
	if err := browsertest.Look(ctx, v.View); err != nil {
		return err
	}
	if err := chromedp.Do(ctx, chromedp.Navigate(address), chromedp.Sleep(250*time.Millisecond)); err != nil {
		return err
	}
	png, err := chromedp.Run(ctx, chromedp.FullScreenshot(100))
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(folder, file), png, 0o644)
}
