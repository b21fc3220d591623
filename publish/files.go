package publish

import (
	"fmt"
	"io"
	"path"
	"strings"

	"fairburn/pack"
	"fairburn/report"
	"fairburn/report/card"
	"fairburn/report/dataset"
	"fairburn/report/paper"
	"fairburn/report/protocol"
	"fairburn/report/replay"
	"fairburn/report/words"
	"fairburn/sheet"
)

// Names of files that a program looks for.
const (
	SheetName  = "trial.toml"
	RepeatName = "repeat.toml"
)

// makers make the files, in the order in which a reader wants them.
func (p *publication) makers() []func() ([]pack.File, error) {
	answers := words.Answers(p.v, p.r, "")
	return []func() ([]pack.File, error){
		one("report.html", "the whole report, one page that needs nothing else", func(w io.Writer) error { return report.HTML(w, p.v, p.r, p.options) }),
		one("report.pdf", "the report to print", func(w io.Writer) error {
			return paper.Write(w, p.v, p.r, paper.Options{Options: p.options, Size: p.Paper, Date: p.Made})
		}),
		one("replay.html", "all burns run again, side by side", func(w io.Writer) error { return replay.Page(w, p.v, p.r, p.options) }),
		one("repeat.html", "how to repeat the trial", func(w io.Writer) error { return protocol.Page(w, p.v, p.r, p.options) }),
		one(RepeatName, "a sheet to start a repeat from: gear and plan, no burns", p.repeat),
		one("answers.html", "what readers ask, answered from the data", func(w io.Writer) error { return words.Page(w, p.v, answers, p.options) }),
		one("answers.txt", "the same as text", func(w io.Writer) error { return words.Text(w, p.v, answers) }),
		one("description.txt", "text to paste under a film or on a page", p.description),
		one(SheetName, "the sheet: every reading as it was typed", func(w io.Writer) error {
			text, err := sheet.Write(p.r.Trial)
			if err == nil {
				_, err = w.Write(text)
			}
			return err
		}),
		p.charts, p.cards, p.data,
	}
}

// description is the text to paste, with the chapters of the film.
func (p *publication) description(w io.Writer) error {
	text, err := words.Description(p.v, p.r, p.options, p.Chapters)
	if err == nil {
		_, err = io.WriteString(w, text)
	}
	return err
}

// repeatHead says what a stranger does with the sheet of a repeat.
const repeatHead = `# To repeat a trial: repeat.html says how. Before the first burn, put your own in place
# of what stands here: masses and sizes of what you built, your instruments, your
# bottle, and your site (elevation or a barometer's reading, wind). What is built
# otherwise on purpose gets a name of its own. The doses stand beside the entries, the
# order of burning at the end. Then: fairburn take repeat.toml, and fairburn open.

`

// repeat is the sheet of a trial that repeats this one, still to be burned.
func (p *publication) repeat(w io.Writer) error {
	text, err := sheet.Write(protocol.Again(p.r))
	if err == nil {
		_, err = fmt.Fprintf(w, "%s%s", repeatHead, text)
	}
	return err
}

// cards draws the picture with one figure and the lower thirds.
func (p *publication) cards() ([]pack.File, error) {
	first, err := card.Card(p.v, p.r, p.options)
	if err != nil {
		return nil, err
	}
	thirds, err := card.Thirds(p.v, p.r, p.options)
	if err != nil {
		return nil, err
	}
	var files []pack.File
	for _, c := range append([]card.Picture{first}, thirds...) {
		files = append(files, pack.File{Path: "cards/" + c.Name + ".png", Data: c.PNG, Says: fmt.Sprintf("picture, %d by %d: %s", c.Width, c.Height, c.Alt)})
	}
	return files, nil
}

func (p *publication) data() ([]pack.File, error) {
	edition := 1
	if p.Earlier != nil {
		edition = p.Earlier.Edition + 1
	}
	return dataset.Files(p.v, p.r, dataset.Options{Names: p.Names, Places: p.Places, Made: p.Made, Version: fmt.Sprint(edition), Contributors: p.Contributors, License: p.License})
}

// readme says what lies in the pack.
func (p *publication) readme(files []pack.File) pack.File {
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n\n%s\n", p.v.Title, p.v.Sentence)
	if p.v.Invented {
		fmt.Fprintf(&b, "\n%s\n", report.InventedWords)
	}
	b.WriteString("\nWhat lies here\n\n")
	folder := ""
	for _, f := range files {
		if dir := path.Dir(f.Path); dir != "." && dir != folder {
			folder = dir
			fmt.Fprintf(&b, "  %s/\n", dir)
		}
		fmt.Fprintf(&b, "  %s: %s\n", f.Path, f.Says)
	}
	b.WriteString("\nSHA256SUMS holds the checksum of every file: sha256sum -c SHA256SUMS\n")
	b.WriteString("fairburn merge FOLDER adds the burns to another bench, as those of their tester.\n\nCautions\n\n")
	for _, c := range report.Cautions() {
		fmt.Fprintf(&b, "- %s\n", c)
	}
	return pack.File{Path: "README.txt", Data: []byte(b.String()), Says: "what lies here"}
}
