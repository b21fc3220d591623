package draw

import (
	"io"
	"time"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-pdf/fpdf"
)

// fontFamily is the name under which AddFonts gives the embedded font to a document.
const fontFamily = "Liberation Sans"

// AddFonts gives the embedded font to a document, regular and bold (style "B"),
// under the returned family name. A document needs it once, before OnPage.
func AddFonts(doc *fpdf.Fpdf) (family string) {
	doc.AddUTF8FontFromBytes(fontFamily, "", liberationsansregular.TTF)
	doc.AddUTF8FontFromBytes(fontFamily, "B", liberationsansbold.TTF)
	return fontFamily
}

// PDF writes the scene as a document of one page just its size, on white, in the
// colours of Paper. One CSS pixel becomes millimetres mm, exactly; for a
// drawing whose unit is the millimetre, give 1. The same scene, scale and date
// give the same bytes.
func PDF(w io.Writer, s Scene, millimetres float64, made time.Time) error {
	if err := s.check(); err != nil {
		return err
	}
	width, height := s.Size()
	size := fpdf.SizeType{Wd: width * millimetres, Ht: height * millimetres}
	doc := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: size})
	doc.SetCreationDate(made)
	doc.SetModificationDate(made)
	doc.SetCatalogSort(true)
	doc.SetMargins(0, 0, 0)
	doc.SetAutoPageBreak(false, 0)
	doc.SetTitle(shown(s.Title), true)
	doc.SetSubject(shown(s.Description), true)
	AddFonts(doc)
	doc.AddPage()
	if err := OnPage(doc, s, Place{Scale: millimetres}); err != nil {
		return err
	}
	return doc.Output(w)
}

// Place is where and how large a scene is drawn on a page, in millimetres: X, Y
// is its upper left corner, Scale the length of one CSS pixel.
type Place struct{ X, Y, Scale float64 }

// OnPage draws the scene on the current page of a document that measures in
// millimetres and has had AddFonts, in the colours of Paper without its ground.
// It leaves the document's line width, colours, opacity, dash (none) and join
// (mitre) as a fresh page has them; the font must be set anew.
func OnPage(doc *fpdf.Fpdf, s Scene, at Place) error {
	if err := s.check(); err != nil {
		return err
	}
	width := doc.GetLineWidth()
	doc.SetLineJoinStyle("round")
	at.X, at.Y = at.X+s.Margin*at.Scale, at.Y+s.Margin*at.Scale
	p := pdfPen{doc: doc, at: at}
	paint(s.Nodes, p)
	doc.SetLineJoinStyle("miter")
	doc.SetDashPattern(nil, 0)
	doc.SetAlpha(1, "Normal")
	doc.SetLineWidth(width)
	doc.SetDrawColor(0, 0, 0)
	doc.SetFillColor(0, 0, 0)
	doc.SetTextColor(0, 0, 0)
	return doc.Error()
}

// pdfPen draws outlines and texts on a page.
type pdfPen struct {
	doc *fpdf.Fpdf
	at  Place
}

func (p pdfPen) place(q Point) (x, y float64) {
	return p.at.X + q.X*p.at.Scale, p.at.Y + q.Y*p.at.Scale
}

func (p pdfPen) outline(o Outline, s Style) {
	how := ""
	if s.Fill != None {
		how = "F"
		p.doc.SetFillColor(p.rgb(s.Fill))
	}
	if s.Stroke != None {
		how += "D"
		p.doc.SetDrawColor(p.rgb(s.Stroke))
		p.doc.SetLineWidth(s.width() * p.at.Scale)
		var dash []float64
		if s.Dash > 0 {
			dash = []float64{s.Dash * p.at.Scale}
		}
		p.doc.SetDashPattern(dash, 0)
	}
	if how == "" {
		return
	}
	p.doc.SetAlpha(1-s.Fade, "Normal")
	for _, st := range o {
		x, y := p.place(st.to)
		switch st.op {
		case move:
			p.doc.MoveTo(x, y)
		case straight:
			p.doc.LineTo(x, y)
		case curve:
			ax, ay := p.place(st.ctl1)
			bx, by := p.place(st.ctl2)
			p.doc.CurveBezierCubicTo(ax, ay, bx, by, x, y)
		case closing:
			p.doc.ClosePath()
		}
	}
	p.doc.DrawPath(how)
}

func (p pdfPen) text(t Text) {
	if t.Ink == None {
		return
	}
	style := ""
	if t.Bold {
		style = "B"
	}
	p.doc.SetAlpha(1, "Normal")
	p.doc.SetTextColor(p.rgb(t.Ink))
	p.doc.SetFont(fontFamily, style, 12)
	p.doc.SetFontUnitSize(t.Size * p.at.Scale)
	x, y := p.place(Point{t.left(), t.Y})
	p.doc.Text(x, y, boxed(t))
}

func (p pdfPen) rgb(k Ink) (r, g, b int) {
	if k == Ground {
		return 255, 255, 255
	}
	c := Paper.Colour(k)
	return int(c.R), int(c.G), int(c.B)
}
