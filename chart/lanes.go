package chart

import "fairburn/draw"

// Lanes shows the course of runs against time, one lane a run, by entry.
type Lanes struct {
	Frame
	Axis   Axis
	Groups []LaneGroup
	Keys   []Key // what tones, glyphs and ends mean, in words
}

// LaneGroup is the runs of one entry.
type LaneGroup struct {
	Name  string
	Entry int
	Note  string // after the name
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
	Light Tone = iota // a thin line: waiting, cooling
	Half
	Full
)

// Moment is a mark on a lane.
type Moment struct {
	At    float64
	Glyph Glyph
	Tip   string
	Label string // above the mark, if there is room: "5:42"
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
	Open     End = iota // not known, or still going: no sign
	ByItself            // an upright bar
	PutOut              // a cross
)

// Key explains one sign of a Lanes chart: a Tone, Glyph or End.
type Key struct {
	Sign  any
	Words string
}

// Scene lays the chart out.
func (c Lanes) Scene() (draw.Scene, error) {
	values, err := c.values()
	if err != nil {
		return draw.Scene{}, err
	}
	s, err := c.begin()
	if err != nil {
		return draw.Scene{}, err
	}
	left := 0.0
	for _, g := range c.Groups {
		for _, l := range g.Lanes {
			left = max(left, room(l.Name, letters{size: s.small}))
		}
	}
	left = min(left, s.Width*0.24)
	r := c.Axis.along(values, left+18, s.Width-14, letters{size: s.small})
	body := s.below()
	for _, g := range c.Groups {
		body.groupHead(g)
		top := body.y
		for _, l := range g.Lanes {
			l.draw(body, r, g.Entry, left)
		}
		s.grid(r, zone{top, body.y})
	}
	s.y = body.y
	s.add(body.nodes...)
	s.foot(r, c.Axis.Label)
	c.key(s)
	return s.scene(), nil
}

// values are all times the axis must reach, each checked.
func (c Lanes) values() ([]float64, error) {
	var all []float64
	for _, g := range c.Groups {
		for _, l := range g.Lanes {
			times, err := l.times()
			if err != nil {
				return nil, c.fail(err, "%s, %s", g.Name, l.Name)
			}
			all = append(all, times...)
		}
	}
	if len(all) == 0 {
		return nil, c.fail(ErrEmpty, "no lanes")
	}
	return all, nil
}
