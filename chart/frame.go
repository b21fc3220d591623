// Package chart turns figures into drawings: Dots, Scatter, Lanes, Shares,
// Curves and Differences, each a struct of data and options with a method Scene.
//
// Every chart shows its single points and draws its intervals; there is no bar
// of means here. It knows nothing of what is measured: words, formats and tips
// come from the caller, and names stay text whatever they hold. Charts are laid
// out for the width asked for, from 300 px (a phone has 360) up; the height
// follows from what must be shown. A name too long for its place is cut with an
// ellipsis and carries a tip with all of it.
//
// A chart refuses to be drawn (an error that names place and value) when a
// number is not finite where it must be, or when there is nothing to show.
//
// Read frame.go and axis.go, then one chart, such as dots.go.
package chart

import (
	"errors"

	"fairburn/draw"
)

var errUnbuilt = errors.New("chart is not built yet")

// Frame is what every chart has.
type Frame struct {
	Width       float64 // CSS pixels, at least 300
	Title       string  // read aloud, and drawn above the chart if Headed
	Description string  // what a person who cannot see the chart should know
	Headed      bool    // draw the title: for cards and pictures that stand alone
}

// Scale is how an axis divides and writes its numbers.
type Scale uint8

// The scales.
const (
	Plain   Scale = iota // decimal numbers
	Clock                // values in seconds, written m:ss
	Percent              // values as fractions, written in per cent
)

// Axis describes one axis. Its range is that of the data widened to round
// ticks, never clipped.
type Axis struct {
	Label   string // what it shows, with unit: "Fuel to boil, g"
	Scale   Scale
	Include []float64 // values that the axis must reach, such as 0
}

// Reference is a line to compare with, at a value of the axis it belongs to.
type Reference struct {
	At    float64
	Label string
}

// Interval is an estimate between limits. A limit that is infinite is drawn as
// an arrow that leaves the chart.
type Interval struct{ Low, Mid, High float64 }

// Dots shows one row per entry with every point, the centre and its intervals.
type Dots struct {
	Frame
	Axis      Axis
	Rows      []Row
	Absent    string // head of the lane at the right for what has no value: "did not boil"
	Reference *Reference
}

// Row is one entry of a Dots chart.
type Row struct {
	Name   string
	Entry  int // index of its colour and shape
	Points []Point
	Absent []string  // tips of the open marks in the lane at the right, one each
	Inner  *Interval // centre and interval, drawn strong
	Outer  *Interval // a wider interval, drawn light: simultaneous or prediction
	Value  string    // figure at the right: "5:42"
	Note   string    // below the figure: "n = 5"
}

// Point is one value with its tip. Open points count less (drawn hollow).
type Point struct {
	Value float64
	Tip   string
	Open  bool
}

// Scatter shows two figures of each entry against each other.
type Scatter struct {
	Frame
	X, Y   Axis
	Clouds []Cloud
	Better Corner // the corner that is best, NoCorner for none
	Hint   string // the words at that corner: "faster, less fuel"
}

// Corner is a corner of a Scatter.
type Corner uint8

// The corners.
const (
	NoCorner Corner = iota
	LowerLeft
	LowerRight
	UpperLeft
	UpperRight
)

// Cloud is one entry of a Scatter.
type Cloud struct {
	Name   string
	Entry  int
	Spots  []Spot
	Centre *Cross
}

// Spot is one pair of values with its tip.
type Spot struct {
	X, Y float64
	Tip  string
	Open bool
}

// Cross is a centre with its interval along each axis.
type Cross struct{ X, Y Interval }

// Lanes shows the course of runs against time, one lane a run.
type Lanes struct {
	Frame
	Axis   Axis
	Groups []LaneGroup
	Keys   []Key // what the tones and glyphs mean, in words
}

// LaneGroup is the runs of one entry.
type LaneGroup struct {
	Name  string
	Entry int
	Note  string // beside the name
	Lanes []Lane
}

// Lane is one run.
type Lane struct {
	Name     string // short, at the left: "burn 3"
	Segments []Segment
	Moments  []Moment
	End      End
	EndAt    float64
	EndTip   string
}

// Segment is a stretch of a lane.
type Segment struct {
	From, To float64
	Tone     Tone
	Tip      string
}

// Tone is how strongly a segment is inked.
type Tone uint8

// The tones.
const (
	Light Tone = iota // thin line: waiting, cooling
	Half
	Full
)

// Moment is a mark on a lane.
type Moment struct {
	At    float64
	Glyph Glyph
	Tip   string
	Label string // written above the mark when there is room: "5:42"
}

// Glyph is the form of a Moment.
type Glyph uint8

// The glyphs.
const (
	Tick Glyph = iota // upright stroke
	Dot               // filled disc
	Ring              // hollow disc
	Flag              // diamond
)

// End is how a run ended.
type End uint8

// The ends.
const (
	Running  End = iota // not known, or still going: drawn as fading dashes
	ByItself            // an upright bar
	PutOut              // a cross
)

// Key explains one sign of a Lanes chart. Exactly one of the fields besides
// Words is used: Glyph if IsGlyph, End if IsEnd, else Tone.
type Key struct {
	Words   string
	Tone    Tone
	Glyph   Glyph
	End     End
	IsGlyph bool
	IsEnd   bool
}

// Shares shows parts of a whole as bars, largest first.
type Shares struct {
	Frame
	Parts []Share
}

// Share is one part; Value is its fraction of the whole, 0 to 1.
type Share struct {
	Name  string
	Value float64
	Text  string // beside the bar: "38 %  (0.21 g)"
	Tip   string
}

// Curves shows lines with bands and points.
type Curves struct {
	Frame
	X, Y      Axis
	Lines     []Curve
	Reference *Reference // across, at a value of Y
}

// Curve is one line of a Curves chart.
type Curve struct {
	Name  string
	Entry int
	Step  bool // go across, then up or down, as a survival curve does
	Line  []Spot
	Band  []Bounds
	Spots []Spot
}

// Bounds is the band of a curve at X.
type Bounds struct{ X, Low, High float64 }

// Differences shows intervals of differences between pairs against zero.
type Differences struct {
	Frame
	Axis                  Axis
	MarginLow, MarginHigh float64 // what counts as equal in practice; both 0 for none
	MarginText            string  // "equal in practice"
	Left, Right           string  // what lies at each side of zero: "A faster"
	Pairs                 []Pair
}

// Pair is one difference.
type Pair struct {
	First, Second int    // entry indices
	Name          string // "A − B"
	Inner         *Interval
	Outer         *Interval
	Class         Class
	Verdict       string // in words: "A faster"
	Tip           string
}

// Class is what the interval of a pair says.
type Class uint8

// The classes.
const (
	TooFew Class = iota // no verdict can be given
	Unsettled
	Differs
	Equal
)

// Scene lays the chart out.
func (d Dots) Scene() (draw.Scene, error) { return draw.Scene{}, errUnbuilt }

// Scene lays the chart out.
func (s Scatter) Scene() (draw.Scene, error) { return draw.Scene{}, errUnbuilt }

// Scene lays the chart out.
func (l Lanes) Scene() (draw.Scene, error) { return draw.Scene{}, errUnbuilt }

// Scene lays the chart out.
func (s Shares) Scene() (draw.Scene, error) { return draw.Scene{}, errUnbuilt }

// Scene lays the chart out.
func (c Curves) Scene() (draw.Scene, error) { return draw.Scene{}, errUnbuilt }

// Scene lays the chart out.
func (d Differences) Scene() (draw.Scene, error) { return draw.Scene{}, errUnbuilt }
