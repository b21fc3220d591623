package main

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"fairburn/film"
	"fairburn/finding"
	"fairburn/pack"
	"fairburn/publish"
	"fairburn/report/dataset"
	"fairburn/report/paper"
)

// publishAsked is what the command line asks of a pack.
type publishAsked struct {
	names, places, photos, letter bool
	licence, film, supersedes     string
	changed                       []string
}

func (a *app) publishCommand() *cobra.Command {
	var asked publishAsked
	c := &cobra.Command{
		Use:   "publish TRIAL DIR",
		Short: "write all that is published of a trial: report, pictures, words, data, how to repeat it",
		Long: `publish writes one pack from the same figures as the verdict, into a new folder, or
into a new file where the name ends with .zip: the report as a page and as a PDF,
charts, a card with one figure and lower thirds for a film, text for a description,
answers to what readers ask, all burns run again side by side, how to repeat the
trial with a sheet to start from, the data as a Data Package and as Parquet, the
sheet itself, and checksums.

Names of testers and places are left out unless you say otherwise; notes, which may
hold either, stand in the pack only with both. Titles, names of gear and reasons for
leaving a burn out stand as you wrote them. Look through it before you give it away.

--supersedes names the pack that this one takes the place of; what changed since is
listed file by file, and --changed says it in words.

` + exitHelp,
		Example: `  fairburn publish trial.toml published
  fairburn publish trial.toml published.zip --names --places
  fairburn publish trial.toml second --supersedes first --changed "burn 7 was read again"
  fairburn publish "Four burners for an autumn walk" walk --photos --licence CC-BY-4.0
  fairburn publish trial.toml filmed --film film.toml`,
		Args:              between(2, 2, "a trial and a new folder or .zip"),
		RunE:              func(c *cobra.Command, args []string) error { return a.publish(c.Context(), args[0], args[1], asked) },
		ValidArgsFunction: completeSheets,
	}
	f := c.Flags()
	f.BoolVar(&asked.names, "names", false, "testers' names may be published")
	f.BoolVar(&asked.places, "places", false, "names of places may be published")
	f.BoolVar(&asked.photos, "photos", false, "also the photos of burners and burns, from the bench")
	f.BoolVar(&asked.letter, "letter", false, "the PDF on US letter instead of A4")
	f.StringVar(&asked.licence, "licence", "", "licence of the data, by its Open Definition name, such as CC-BY-4.0")
	f.StringVar(&asked.film, "film", "", "sheet of a film of the trial: captions, chapters and timeline go into the pack")
	f.StringVar(&asked.supersedes, "supersedes", "", "the pack, a folder or .zip, that this one takes the place of")
	f.StringArrayVar(&asked.changed, "changed", nil, "what changed since, in words; may be given again")
	_ = c.MarkFlagFilename("film", "toml")
	_ = c.MarkFlagFilename("supersedes", "zip")
	return c
}

// publish makes the pack, then writes it whole or not at all.
func (a *app) publish(ctx context.Context, name, to string, asked publishAsked) error {
	if len(asked.changed) > 0 && asked.supersedes == "" {
		return usage{hinted{errors.New("--changed says what changed and not since when"), "name the earlier pack with --supersedes"}}
	}
	if err := unused(to); err != nil {
		return err
	}
	t, read, err := a.load(ctx, []string{name})
	if err != nil {
		return err
	}
	if a.seed != 0 {
		t.Settings.Seed = a.seed
	}
	w := publish.Wish{Names: asked.names, Places: asked.places, License: dataset.License{Name: asked.licence}, System: t.Units(), Made: time.Now(), Version: version, Read: read, Changed: asked.changed}
	if asked.letter {
		w.Paper = paper.Letter
	}
	if asked.supersedes != "" {
		if w.Earlier, err = a.readPack(asked.supersedes); err != nil {
			return err
		}
	}
	if asked.film != "" {
		if w.Film, w.Chapters, err = a.publishedFilm(ctx, asked.film, name); err != nil {
			return err
		}
	}
	if asked.photos {
		if w.Photos, err = a.photosOf(ctx, name); err != nil {
			return err
		}
	}
	a.heed(read)
	step := a.progress("publishing", 1)
	p, err := publish.Make(ctx, t, w, publish.Progress(step(0)))
	step(1)
	if err != nil {
		return err
	}
	if err := writePack(to, p); err != nil {
		return err
	}
	return a.writePublished(to, p)
}

// unused refuses a place where something is.
func unused(to string) error {
	if _, err := os.Lstat(to); err == nil {
		return hinted{fmt.Errorf("%s is there already, and a pack is never written over anything", to), "name a new folder, and the old pack with --supersedes"}
	}
	return nil
}

// publishedFilm is what was made of a film, without the folders in which its clips lie
// and without the sheet of a trial timed from it, which names people and places.
func (a *app) publishedFilm(ctx context.Context, name, of string) ([]pack.File, string, error) {
	m, err := a.makeFilm(ctx, filming{name: name, of: of, bare: true})
	if err != nil {
		return nil, "", err
	}
	files := slices.DeleteFunc(m.files, func(f pack.File) bool { return f.Path == timedName })
	return inFolder("film", files), film.ChapterList(m.made.Chapters), nil
}

// inFolder puts files into a folder of the pack.
func inFolder(folder string, files []pack.File) []pack.File {
	files = slices.Clone(files)
	for i := range files {
		files[i].Path = folder + "/" + files[i].Path
	}
	return files
}

// photosOf are the photos of a trial's burners and burns.
func (a *app) photosOf(ctx context.Context, title string) (files []pack.File, err error) {
	if !a.isTitle(title) {
		return nil, usage{hinted{fmt.Errorf("%s is a sheet, and photos are kept on the bench", title), "give the trial's title instead"}}
	}
	err = a.withBench(ctx, false, func(b *openedBench) error {
		t, _, err := b.Trial(title)
		if err == nil {
			files, err = publish.Photos(ctx, b.Bench, t)
		}
		return err
	})
	return files, err
}

// writePack writes a pack beside its place and then moves it there.
func writePack(to string, p *pack.Pack) (err error) {
	if strings.EqualFold(filepath.Ext(to), ".zip") {
		var b bytes.Buffer
		if err := p.WriteZip(&b); err != nil {
			return err
		}
		return writeWhole(to, b.Bytes())
	}
	beside, err := os.MkdirTemp(filepath.Dir(filepath.Clean(to)), ".fairburn-*")
	if err != nil {
		return hinted{fmt.Errorf("cannot make a folder for the pack: %w", err), "choose a folder that exists and can be written to"}
	}
	defer os.RemoveAll(beside) // gone once it has been moved
	for _, f := range p.All() {
		name := filepath.Join(beside, filepath.FromSlash(f.Path))
		if err := errors.Join(os.MkdirAll(filepath.Dir(name), 0o755), writeWhole(name, f.Data)); err != nil {
			return err
		}
	}
	if err := errors.Join(os.Chmod(beside, 0o755), os.Rename(beside, to)); err != nil {
		return hinted{fmt.Errorf("cannot move the pack to %s: %w", to, err), "name a new folder"}
	}
	return nil
}

// writePublished says what was written.
func (a *app) writePublished(to string, p *pack.Pack) error {
	size := int64(0)
	for _, f := range p.List {
		size += f.Bytes
	}
	if a.asJSON {
		return a.writeJSON(struct {
			Place   string `json:"place"`
			Edition string `json:"sha256"`
			pack.Manifest
		}{to, p.Sum(), p.Manifest})
	}
	fmt.Fprintf(a.out, "%s, edition %d: %d files, %.1f MB, in %s\n", p.Title, p.Edition, len(p.List)+2, float64(size)/1e6, to)
	folder := ""
	for _, f := range p.Files {
		dir, _, inside := strings.Cut(f.Path, "/")
		switch {
		case !inside:
			fmt.Fprintf(a.out, "  %s: %s\n", f.Path, f.Says)
		case dir != folder:
			folder = dir
			n := 0
			for _, g := range p.Files {
				if strings.HasPrefix(g.Path, dir+"/") {
					n++
				}
			}
			fmt.Fprintf(a.out, "  %s/: %d files\n", dir, n)
		}
	}
	fmt.Fprintf(a.out, "checksum of this edition: %s\nnext: look through it before you give it away\n", p.Sum())
	return nil
}

// readPack reads a pack from a folder or a zip; a pack that was changed is refused.
func (a *app) readPack(name string) (*pack.Pack, error) {
	p, found, err := openPack(name)
	for i := range found {
		found[i].Where.File = cmp.Or(found[i].Where.File, name)
	}
	a.tell(found)
	a.heed(found)
	switch {
	case errors.Is(err, pack.ErrNoPack), errors.Is(err, fs.ErrNotExist):
		return nil, hinted{fmt.Errorf("%s: %w", name, err), "give a folder or .zip that fairburn publish wrote"}
	case err != nil:
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if worst, _ := finding.Worst(found); worst == finding.Fault {
		return nil, hinted{fmt.Errorf("%s is not as it was published", name), "get it again from where it came from"}
	}
	return p, nil
}

func openPack(name string) (*pack.Pack, []finding.Finding, error) {
	info, err := os.Stat(name)
	if err != nil {
		return nil, nil, err
	}
	if info.IsDir() {
		root, err := os.OpenRoot(name)
		if err != nil {
			return nil, nil, err
		}
		defer root.Close()
		return pack.Read(root.FS(), pack.DefaultLimits())
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, nil, err
	}
	defer f.Close()
	return pack.ReadZip(f, info.Size(), pack.DefaultLimits())
}
