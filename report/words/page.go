package words

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"strings"

	"fairburn/report"
	"fairburn/verdict"
)

//go:embed page
var pageFiles embed.FS

// pageTemplate escapes everything that comes from people; only style sheets and
// script are written as they are.
var pageTemplate = template.Must(template.New("answers.html").Funcs(template.FuncMap{
	"bind":  report.Bind,
	"lines": func(text string) []string { return strings.Split(text, "\n") },
}).ParseFS(pageFiles, "page/answers.html"))

// answersPage is what the template shows.
type answersPage struct {
	*verdict.Verdict
	Policy   string // content security policy
	Style    template.CSS
	Script   template.JS
	Answers  []Answer
	Invented string
	Cautions []string
	Options  report.Options
}

// Page writes answers as one page that asks nothing of a network: each with a
// button that copies it, basis and all. Without script the buttons are not there
// and everything can be read and selected.
func Page(w io.Writer, v *verdict.Verdict, answers []Answer, o report.Options) error {
	p := answersPage{Verdict: v, Answers: answers, Cautions: report.Cautions(), Options: o,
		Style: template.CSS(string(report.Style()) + file("answers.css")), Script: template.JS(file("answers.js"))}
	if v.Invented {
		p.Invented = report.InventedWords
	}
	p.Policy = fmt.Sprintf("default-src 'none'; style-src '%s'; script-src '%s'; base-uri 'none'; form-action 'none'", hash(string(p.Style)), hash(string(p.Script)))
	var page bytes.Buffer
	if err := pageTemplate.Execute(&page, p); err != nil {
		return fmt.Errorf("answers of %q: %w", v.Title, err)
	}
	_, err := page.WriteTo(w)
	return err
}

// hash names a text in a content security policy.
// Source: W3C, Content Security Policy Level 3, hash-source.
func hash(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "sha256-" + base64.StdEncoding.EncodeToString(sum[:])
}

func file(name string) string {
	data, err := pageFiles.ReadFile("page/" + name)
	if err != nil {
		panic(err) // it is embedded
	}
	return string(data)
}

// Text writes answers as plain text, each under its question.
func Text(w io.Writer, v *verdict.Verdict, answers []Answer) error {
	var b strings.Builder
	fmt.Fprintf(&b, "ANSWERS: %s\n", v.Title)
	if v.Invented {
		fmt.Fprintln(&b, report.InventedWords)
	}
	for _, a := range answers {
		fmt.Fprintf(&b, "\nQ: %s\n%s\n", a.Question, a)
	}
	fmt.Fprintln(&b, "\nCAUTIONS")
	for _, c := range report.Cautions() {
		fmt.Fprintln(&b, "- "+c)
	}
	_, err := io.WriteString(w, b.String())
	return err
}
