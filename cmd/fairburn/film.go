package main

import (
	"bytes"
	"cmp"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"fairburn/bench"
	"fairburn/burn"
	"fairburn/film"
	"fairburn/finding"
	"fairburn/pack"
	"fairburn/quantity"
	"fairburn/sheet"
	"fairburn/trial"
)

func (a *app) filmCommand() *cobra.Command {
	var of, out string
	c := &cobra.Command{
		Use:   "film FILE",
		Short: "make captions, chapters, a running clock and a timeline for a film of a trial",
		Long: `film reads the sheet of a film (TOML): clips with one sync for each burn, cuts and
speeds, or one shot after another. It finds every mark in clip time and in film time
and writes captions (WebVTT, SRT), chapters (a list for the description, WebVTT), a
clock track with the temperature where there is a trace, the marks as a table, and a
timeline that editors import (OpenTimelineIO). Chapters merge marks that are close;
captions do not. What the film does not show is said, never dropped.

Burns without live marks are timed from the footage: the clip times typed under
[[timed]] become marks, and timed.toml is the trial with them, to be judged or taken.

` + exitHelp,
		Example: `  fairburn film film.toml --sheet trial.toml
  fairburn film film.toml --out for-the-film
  fairburn film film.toml --sheet "Four burners for an autumn walk" --json`,
		Args:              between(1, 1, "the sheet of one film"),
		RunE:              func(c *cobra.Command, args []string) error { return a.film(c.Context(), args[0], of, out) },
		ValidArgsFunction: completeSheets,
	}
	c.Flags().StringVarP(&of, "sheet", "s", "", "sheet or title of the trial whose burns were filmed; without it, the title that the film names")
	c.Flags().StringVarP(&out, "out", "o", "", "folder to write to; without it, one beside the sheet that has its name")
	_ = c.MarkFlagFilename("sheet", "toml")
	_ = c.MarkFlagDirname("out")
	return c
}

// film reads, makes and writes.
func (a *app) film(ctx context.Context, name, of, out string) error {
	if out == "" && name == "-" {
		return usage{errors.New("a film from standard input needs --out")}
	}
	m, err := a.makeFilm(ctx, filming{name: name, of: of})
	if err != nil {
		return err
	}
	if err := m.write(cmp.Or(out, strings.TrimSuffix(name, filepath.Ext(name)))); err != nil {
		return err
	}
	if a.asJSON {
		return a.writeJSON(m)
	}
	return a.writeFilm(m)
}

// makeFilm reads the sheet of a film and makes its files.
func (a *app) makeFilm(ctx context.Context, w filming) (*making, error) {
	data, err := a.readFile(w.name)
	if err != nil {
		return nil, err
	}
	f, found, err := sheet.ReadFilm(w.name, data)
	if err != nil {
		return nil, err
	}
	for i := range f.Clips {
		if file := f.Clips[i].File; w.bare {
			f.Clips[i].File = file[strings.LastIndexAny(file, `/\`)+1:]
		}
	}
	if w.of, w.found = cmp.Or(w.of, f.Trial), found; w.of == "" {
		return nil, usage{hinted{errors.New("nothing says which trial was filmed"), "name it with --sheet, or write trial = \"…\" in the film's sheet"}}
	}
	return a.filmMade(ctx, f, w)
}

// filming is what a film is made with beside its sheet.
type filming struct {
	name, of string
	bare     bool              // clips without the folders that they lie in
	found    []finding.Finding // in reading the sheet
}

// filmMade makes the files. What could not be read of the sheet could make every
// film time wrong, as a fault of the timeline does.
func (a *app) filmMade(ctx context.Context, f *film.Film, w filming) (*making, error) {
	t, filmed, read, err := a.filmed(ctx, w.of, f)
	if err != nil {
		return nil, err
	}
	var timed []finding.Finding
	t.Burns, timed = f.Time(t.Burns)
	filmed.Burns = t.Burns
	p, made := film.Make(f, filmed)
	all := slices.Concat(w.found, read, timed, made, a.picture(w.name, f.Picture))
	if worst, _ := finding.Worst(slices.Concat(w.found, timed)); p == nil || worst == finding.Fault {
		finding.Sort(all)
		a.tell(all)
		return nil, hinted{errors.New("nothing was made, since times of the film could be wrong"), "mend the faults above and run it again"}
	}
	a.heed(all)
	finding.Sort(all)
	m := makingOf(f, p, all)
	if len(f.Timed) > 0 {
		data, err := sheet.Write(t)
		if err != nil {
			return nil, fmt.Errorf("cannot write the timed trial: %w", err)
		}
		m.files = append(m.files, pack.File{Path: timedName, Data: data, Says: "the trial with the burns that were timed from footage"})
	}
	return m, nil
}

// timedName is the sheet of a trial whose burns were timed from footage.
const timedName = "timed.toml"

// filmed reads the trial, and from a bench also its flashes.
func (a *app) filmed(ctx context.Context, of string, f *film.Film) (*trial.Trial, film.Filmed, []finding.Finding, error) {
	t, fs, err := a.load(ctx, []string{of})
	filmed := film.Filmed{Flash: map[string]time.Duration{}}
	flash := func(c film.Clip) bool {
		return slices.ContainsFunc(c.Syncs, func(s film.Sync) bool { return s.Mark == film.Flash })
	}
	if err != nil || !a.isTitle(of) || !slices.ContainsFunc(f.Clips, flash) {
		return t, filmed, fs, err
	}
	err = a.withBench(ctx, false, func(b *openedBench) error {
		for _, r := range t.Burns {
			moments := b.Moments(t.Title, r.ID)
			light, lit := standing(moments, string(burn.Light))
			if at, ok := standing(moments, bench.Sync); lit && ok {
				filmed.Flash[r.ID] = at.Sub(light)
			}
		}
		return nil
	})
	return t, filmed, fs, err
}

// standing is when the first press of a kind that holds was made.
func standing(moments []bench.Moment, what string) (time.Time, bool) {
	i := slices.IndexFunc(moments, func(m bench.Moment) bool { return m.What == what && m.State == "holds" })
	if i < 0 {
		return time.Time{}, false
	}
	return moments[i].At, true
}

// picture checks the still picture, which lies beside the sheet.
func (a *app) picture(name, picture string) []finding.Finding {
	if picture == "" {
		return nil
	}
	if !filepath.IsAbs(picture) {
		picture = filepath.Join(filepath.Dir(name), picture)
	}
	file, err := os.Open(picture)
	var data []byte
	if err == nil {
		data, err = limited(file, picture)
		err = errors.Join(err, file.Close())
	}
	if err != nil {
		return []finding.Finding{{Code: "picture_unread", Severity: finding.Caution, Where: finding.Place{Field: "picture"}, Sentence: err.Error(), Remedy: "write the path of the picture, from the folder of the sheet"}}
	}
	return film.CheckPicture(data)
}

// making is what was made, for other programs.
type making struct {
	Title    string            `json:"title"`
	Invented bool              `json:"invented,omitempty"`
	Length   float64           `json:"length_s"`
	Chapters []cue             `json:"chapters"`
	Captions []cue             `json:"captions"`
	Marks    []shown           `json:"marks"`
	Findings []finding.Finding `json:"findings"`
	Folder   string            `json:"folder"`
	Files    []string          `json:"files"`

	files []pack.File
	made  *film.Published
}

type cue struct {
	Start float64 `json:"start_s"`
	End   float64 `json:"end_s"`
	Text  string  `json:"text"`
}

type shown struct {
	Burn      string   `json:"burn"`
	Entry     string   `json:"entry"`
	Mark      string   `json:"mark"`
	FromLight float64  `json:"t_from_light_s"`
	Clip      string   `json:"clip"`
	ClipTime  float64  `json:"t_clip_s"`
	Timecode  string   `json:"timecode,omitempty"`
	Film      *float64 `json:"t_film_s"` // null where the film does not show it
}

// makingOf puts all that is to be written in one value.
func makingOf(f *film.Film, p *film.Published, found []finding.Finding) *making {
	m := &making{made: p,
		Title: f.Title, Invented: f.Invented, Length: p.Timeline.Length().Seconds(), Chapters: cues(p.Chapters), Captions: cues(p.Captions),
		Marks: []shown{}, Findings: append([]finding.Finding{}, found...),
	}
	for _, s := range p.Marks {
		x := shown{s.Burn, s.Entry, s.Label, s.FromLight.Seconds(), s.Clip, s.ClipTime.Seconds(), s.Timecode, nil}
		if s.InFilm {
			at := s.Film.Seconds()
			x.Film = &at
		}
		m.Marks = append(m.Marks, x)
	}
	m.files = []pack.File{
		{Path: "captions.vtt", Data: []byte(film.WebVTT(p.Captions)), Says: "captions, WebVTT"},
		{Path: "captions.srt", Data: []byte(film.SRT(p.Captions)), Says: "captions, SRT"},
		{Path: "chapters.txt", Data: []byte(film.ChapterList(p.Chapters)), Says: "chapter list for a description"},
		{Path: "chapters.vtt", Data: []byte(film.WebVTT(p.Chapters)), Says: "chapters, WebVTT"},
		{Path: "clock.vtt", Data: []byte(film.WebVTTData(p.Clock)), Says: "running clock, a WebVTT metadata track"},
		{Path: "marks.csv", Data: m.table(), Says: "every mark in clip time and film time"},
		{Path: "film.otio", Data: p.Interchange, Says: "timeline for editors, OpenTimelineIO"},
	}
	return m
}

func cues(all []film.Cue) []cue {
	cs := make([]cue, len(all))
	for i, c := range all {
		cs[i] = cue{c.Start.Seconds(), c.End.Seconds(), strings.Join(c.Lines, "\n")}
	}
	return cs
}

// table is the marks as a table.
func (m *making) table() []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	number := func(s float64) string { return strconv.FormatFloat(s, 'f', 3, 64) }
	rows := [][]string{{"burn", "entry", "mark", "t_from_light_s", "clip", "t_clip_s", "timecode", "t_film_s"}}
	for _, s := range m.Marks {
		at := ""
		if s.Film != nil {
			at = number(*s.Film)
		}
		rows = append(rows, []string{s.Burn, s.Entry, s.Mark, number(s.FromLight), s.Clip, number(s.ClipTime), s.Timecode, at})
	}
	_ = w.WriteAll(rows) // into memory
	return b.Bytes()
}

// write writes the files into a folder.
func (m *making) write(folder string) error {
	m.Folder = folder
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return hinted{fmt.Errorf("cannot make the folder for the film: %w", err), "name another with --out"}
	}
	for _, f := range m.files {
		if err := writeWhole(filepath.Join(folder, f.Path), f.Data); err != nil {
			return err
		}
		m.Files = append(m.Files, f.Path)
	}
	return nil
}

// writeFilm prints chapters, marks and findings.
func (a *app) writeFilm(m *making) error {
	p := m.made
	title := m.Title
	if m.Invented {
		title += " (invented)"
	}
	fmt.Fprintf(a.out, "%s, %s\n\nchapters\n\n%s\nmarks\n\n", strings.TrimSpace(title), quantity.FormatDuration(p.Timeline.Length(), 0), film.ChapterList(p.Chapters))
	w := tabwriter.NewWriter(a.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "film\tburn\tentry\tmark\tfrom light\tclip\tclip time\ttimecode")
	for _, s := range p.Marks {
		at := "not shown"
		if s.InFilm {
			at = quantity.FormatDuration(s.Film, 1)
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\n", at, s.Burn, s.Entry, s.Label, quantity.FormatDuration(s.FromLight, 1), s.Clip, quantity.FormatDuration(s.ClipTime, 2), s.Timecode)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	if len(m.Findings) > 0 {
		fmt.Fprint(a.out, "\nfindings\n\n")
	}
	for _, f := range m.Findings {
		fmt.Fprintln(a.out, f)
	}
	fmt.Fprintf(a.out, "\nwritten to %s: %s\n", m.Folder, strings.Join(m.Files, ", "))
	if slices.Contains(m.Files, timedName) {
		fmt.Fprintf(a.out, "next: fairburn judge %s\n", filepath.Join(m.Folder, timedName))
	}
	return nil
}
