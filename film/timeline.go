package film

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"fairburn/finding"
	"fairburn/quantity"
)

// Speed is how many seconds of a clip pass in one of the film: 8 is a time-lapse,
// 0.5 slow motion. The zero Speed was not given and is 1.
type Speed float64

// Speeds beyond these are slips (common practice, no source).
const (
	slowest Speed = 0.01
	fastest Speed = 1000
)

var speedText = regexp.MustCompile(`^([+-]?[0-9]*\.?[0-9]+)\s*(x|×|%)?$`)

// ParseSpeed reads a speed: "8", "8x", "0.5", "800 %". It refuses zero and less,
// and what lies outside 0.01 to 1000.
func ParseSpeed(s string) (quantity.Reading[Speed], error) {
	refuse := func(hint string) (quantity.Reading[Speed], error) {
		return quantity.Reading[Speed]{}, &quantity.ParseError{Text: s, Want: "a speed, 1 being as filmed", Column: 1, Hint: hint}
	}
	m := speedText.FindStringSubmatch(strings.TrimSpace(s))
	if m == nil {
		return refuse(`write 8, "8x" or "800 %"`)
	}
	x, err := strconv.ParseFloat(m[1], 64)
	if err != nil {
		return refuse("it is no number")
	}
	if m[2] == "%" {
		x /= 100
	}
	switch v := Speed(x); {
	case v < 0:
		return refuse("a clip shown backwards has no running clock: leave it out, or show it without one as a shot with a length")
	case v == 0:
		return refuse("a speed is above zero: for a still, write a shot with a title and a length")
	case v < slowest || v > fastest:
		return refuse(fmt.Sprintf("speeds from %g to %g are taken", slowest, fastest))
	default:
		return quantity.Reading[Speed]{Value: v, Text: s, Given: true}, nil
	}
}

// String writes the speed so that ParseSpeed reads it.
func (s Speed) String() string { return strconv.FormatFloat(float64(s), 'g', -1, 64) + "x" }

// mostParts is more than any film of a bench has; beyond it a program wrote the sheet.
const mostParts = 2000

// piece is a stretch of the film: of a clip at one speed, or of none.
type piece struct {
	clip       int           // in Film.Clips, -1 for a title
	from, to   time.Duration // in the clip
	speed      Speed
	start, end time.Duration // in the film
	title      string
	shot       int // from 1; 0 where cuts made it
	file, name string
}

// film maps a time of the piece's clip to the film.
func (p piece) film(clip time.Duration) time.Duration {
	return p.start + time.Duration(math.Round(float64(clip-p.from)/float64(p.speed)))
}

// Timeline is the finished film, piece after piece without holes. Within a piece
// film time runs evenly: film = start + (clip − from) / speed.
type Timeline struct {
	pieces []piece
	clips  []Clip
}

// Length is how long the film lasts.
func (t Timeline) Length() time.Duration {
	if len(t.pieces) == 0 {
		return 0
	}
	return t.pieces[len(t.pieces)-1].end
}

// Film returns the times of the film at which it shows a time of a clip, in
// order: none where it was cut, several where it is shown again.
func (t Timeline) Film(clip string, at time.Duration) []time.Duration {
	var shown []time.Duration
	for _, p := range t.pieces {
		if p.clip >= 0 && t.clips[p.clip].Name == clip && p.from <= at && at < p.to {
			shown = append(shown, p.film(at))
		}
	}
	return shown
}

// Clip returns which time of which clip the film shows at a time; false in a
// title, before the film and from its end on.
func (t Timeline) Clip(film time.Duration) (clip string, at time.Duration, ok bool) {
	i := slices.IndexFunc(t.pieces, func(p piece) bool { return p.start <= film && film < p.end })
	if i < 0 || t.pieces[i].clip < 0 {
		return "", 0, false
	}
	p := t.pieces[i]
	at = p.from + time.Duration(math.Round(float64(film-p.start)*float64(p.speed)))
	return t.clips[p.clip].Name, min(at, p.to-1), true
}

// cutter puts a timeline together and says what is wrong.
type cutter struct {
	notes
	*Film
	out Timeline
}

// Timeline puts the film together. A fault among the findings means that film
// times cannot be trusted.
func (f *Film) Timeline() (Timeline, []finding.Finding) {
	c := cutter{Film: f, out: Timeline{clips: f.Clips}}
	c.names()
	parts := len(f.Clips) + len(f.Cuts) + len(f.Speeds) + len(f.Shots)
	switch edited := len(f.Cuts)+len(f.Speeds) > 0; {
	case parts > mostParts:
		c.fault("parts_many", finding.Place{}, fmt.Sprintf("the film has %d clips, cuts, speeds and shots, expected at most %d", parts, mostParts), "describe it in parts")
	case len(f.Shots) > 0:
		if edited {
			c.fault("cuts_and_shots", finding.Place{Field: "cuts"}, "the film has shots, and cuts or speeds beside them", "keep the shots, or the cuts and speeds of one clip")
		}
		c.shots()
	case len(f.Clips) == 0:
		c.fault("no_clip", finding.Place{}, "the film has no clip", "add a [[clip]] with the name of its file and its length")
	case f.Of == "" && len(f.Clips) > 1:
		c.fault("no_timeline", finding.Place{}, fmt.Sprintf("there are %d clips, and nothing says how the film is made of them", len(f.Clips)), "list the film as one [[shot]] after another, or write cut_from = \"…\" for the one clip that it is made of")
	default:
		c.edit()
	}
	if n := c.out.Length(); n > longest {
		c.fault("film_long", finding.Place{}, fmt.Sprintf("the film lasts %s, expected at most %s", span(n), span(longest)), "check lengths and speeds")
	}
	return c.out, c.found
}

func (c *cutter) names() {
	for i := range c.Clips {
		clip := &c.Clips[i]
		if other, _ := c.clip(clip.Name); other != clip {
			c.fault("clip_twice", clip.place("name"), fmt.Sprintf("two clips have the name %q", clip.Name), "give each a name of its own")
		}
		if _, _, err := clip.length(); err != nil {
			c.fault("clip_time", clip.place("length"), err.Error(), "write how long it lasts, such as 9:50")
		}
		if clip.Start.Given {
			if clip.Start.Value.Count == Elapsed {
				c.fault("clip_time", clip.place("start"), fmt.Sprintf("read %s, expected the timecode of the first frame", clip.Start.Value), "write it with its frames, such as 01:00:00:00")
			} else if _, err := clip.Rate.Time(clip.Start.Value); err != nil {
				c.fault("clip_time", clip.place("start"), err.Error(), "write the timecode of its first frame and the rate")
			}
		}
	}
}

// within resolves a part of a clip; at is where it was typed.
func (c *cutter) within(clip *Clip, s Span, at finding.Place) (from, to time.Duration, ok bool) {
	length, known, err := clip.length()
	if err != nil {
		return 0, 0, false // said already
	}
	to = length
	for _, end := range []struct {
		typed quantity.Reading[Stamp]
		into  *time.Duration
	}{{s.From, &from}, {s.To, &to}} {
		if !end.typed.Given {
			continue
		}
		if *end.into, err = clip.at(end.typed); err != nil {
			c.fault("clip_time", at, err.Error(), "write the time as the player or the editor shows it")
			return 0, 0, false
		}
	}
	switch {
	case !s.To.Given && !known:
		c.fault("clip_length", at, fmt.Sprintf("clip %q is used to its end, and nobody said how long it is", clip.Name), "write its length, or where this part ends")
	case from >= to:
		c.fault("span_empty", at, fmt.Sprintf("the part begins at %s of clip %q and ends at %s", span(from), clip.Name, span(to)), "an end lies after its beginning; swap them, or leave the part out")
	case known && to > length:
		c.fault("span_outside", at, fmt.Sprintf("the part ends at %s of clip %q, which lasts %s", span(to), clip.Name, span(length)), "check the two times")
	default:
		return from, to, true
	}
	return 0, 0, false
}

// shots lays one shot after another.
func (c *cutter) shots() {
	for i, s := range c.Shots {
		where := in(s.Where, fmt.Sprintf("shot number %d", i+1), "")
		p, ok := c.shot(s, where)
		if !ok {
			continue
		}
		p.shot = i + 1
		begin := c.out.Length()
		if s.At.Given {
			begin = c.begin(s, begin, i, where)
		}
		length := p.end
		p.start, p.end = begin, begin+length
		c.out.pieces = append(c.out.pieces, p)
	}
	c.repeats()
}

// begin is where a shot with a place of its own begins.
func (c *cutter) begin(s Shot, end time.Duration, i int, where finding.Place) time.Duration {
	where.Field = "at"
	if at := s.At.Value; at < end {
		c.fault("shots_overlap", where, fmt.Sprintf("the shot begins at %s of the film, and shot %d runs until %s", span(at), i, span(end)),
			"put the shots in order, cut the one before shorter, or leave at out so that this one follows")
	} else if at > end {
		c.out.pieces = append(c.out.pieces, piece{clip: -1, speed: 1, start: end, end: at, shot: i + 1})
		return at
	}
	return end
}

// shot resolves one shot; its end is its length in the film.
func (c *cutter) shot(s Shot, where finding.Place) (piece, bool) {
	p := piece{clip: -1, speed: s.Speed, title: s.Title}
	if p.speed == 0 {
		p.speed = 1
	}
	if s.Clip == "" {
		if p.end = s.Length.Value; !s.Length.Given || p.end <= 0 || s.From.Given || s.To.Given || s.Speed != 0 {
			c.fault("shot_clip", where, "the shot names no clip, and a title has a length and nothing else", "name the clip, or write a title with its length")
			return p, false
		}
		return p, true
	}
	clip, ok := c.clip(s.Clip)
	if !ok {
		where.Field = "clip"
		c.fault("clip_unknown", where, fmt.Sprintf("no clip is called %q", s.Clip), "write the name of a [[clip]]")
		return p, false
	}
	if s.Length.Given {
		where.Field = "length"
		c.fault("shot_length", where, "the shot is of a clip, and its length follows from where it begins and ends", "leave the length out")
		return p, false
	}
	p.clip = slices.IndexFunc(c.Clips, func(x Clip) bool { return x.Name == s.Clip })
	p.name, p.file = clip.Name, clip.File
	if p.from, p.to, ok = c.within(clip, s.Span, where); !ok {
		return p, false
	}
	p.end = time.Duration(math.Round(float64(p.to-p.from) / float64(p.speed)))
	return p, true
}

// repeats says which shots show the same footage.
func (c *cutter) repeats() {
	for i, p := range c.out.pieces {
		for _, q := range c.out.pieces[:i] {
			if from, to := max(p.from, q.from), min(p.to, q.to); p.clip >= 0 && p.clip == q.clip && from < to {
				s := c.Shots[p.shot-1]
				c.say(finding.Note, "footage_twice", in(s.Where, fmt.Sprintf("shot number %d", p.shot), ""),
					fmt.Sprintf("%s to %s of clip %q was shown in shot %d already, and its marks come again", span(from), span(to), s.Clip, q.shot), "")
				break
			}
		}
	}
}

// stretch is a part of the edited clip with what happens to it.
type stretch struct {
	from, to time.Duration
	speed    Speed // 0 is a cut
}

// edit makes the film of one clip by cuts and speeds.
func (c *cutter) edit() {
	clip, ok := c.only(c.Of)
	if !ok {
		c.fault("clip_unknown", finding.Place{Field: "cut_from"}, fmt.Sprintf("no clip is called %q", c.Of), "write the name of a [[clip]]")
		return
	}
	_, end, ok := c.within(clip, Span{}, clip.place("length"))
	if !ok {
		return
	}
	at := slices.IndexFunc(c.Clips, func(x Clip) bool { return x.Name == clip.Name })
	for _, s := range cutUp(end, c.changes(clip)) {
		p := piece{clip: at, from: s.from, to: s.to, speed: s.speed, start: c.out.Length(), name: clip.Name, file: clip.File}
		p.end = p.film(p.to)
		c.out.pieces = append(c.out.pieces, p)
	}
	if len(c.out.pieces) == 0 {
		c.fault("all_cut", finding.Place{Field: "cuts"}, fmt.Sprintf("the cuts leave nothing of clip %q", clip.Name), "take one of them out")
	}
}

// changes resolves cuts and speeds and says which cuts are out of order or overlap.
func (c *cutter) changes(clip *Clip) []stretch {
	var all []stretch
	for i, cut := range c.Cuts {
		where := finding.Place{Subject: fmt.Sprintf("cut number %d", i+1), Field: "cuts"}
		from, to, ok := c.within(clip, cut, where)
		if !ok {
			continue
		}
		c.order(stretch{from, to, 0}, all, where)
		all = append(all, stretch{from, to, 0})
	}
	for i, s := range c.Speeds {
		where := finding.Place{Subject: fmt.Sprintf("speed number %d", i+1), Field: "speeds"}
		if s.Speed == 0 {
			c.fault("speed_missing", where, "a change of speed without its speed", "write speed = 8, or leave the change out")
			continue
		}
		if from, to, ok := c.within(clip, s.Span, where); ok {
			all = append(all, stretch{from, to, s.Speed})
		}
	}
	return all
}

// order says of the first cut before this one that overlaps it or lies after it.
func (c *cutter) order(cut stretch, before []stretch, where finding.Place) {
	for i, b := range before {
		switch {
		case cut.from < b.to && b.from < cut.to:
			c.say(finding.Caution, "cuts_overlap", where, fmt.Sprintf("the cut from %s to %s and cut %d from %s to %s overlap; both were left out", span(cut.from), span(cut.to), i+1, span(b.from), span(b.to)), "write them as one cut, if that was meant")
			return
		case cut.from < b.from:
			c.say(finding.Note, "cuts_unsorted", where, fmt.Sprintf("the cut at %s stands after cut %d at %s", span(cut.from), i+1, span(b.from)), "put them in order, so that they can be checked against the film")
			return
		}
	}
}

// cutUp is what remains of a clip, in stretches of one speed; overlapping speeds multiply.
func cutUp(end time.Duration, changes []stretch) []stretch {
	edges := []time.Duration{0, end}
	for _, s := range changes {
		edges = append(edges, s.from, s.to)
	}
	slices.Sort(edges)
	edges = slices.Compact(edges)
	var left []stretch
	for i, from := range edges[:len(edges)-1] {
		now := stretch{from, edges[i+1], 1}
		for _, s := range changes {
			if s.from <= from && from < s.to {
				now.speed *= s.speed
			}
		}
		switch last := len(left) - 1; {
		case now.speed == 0:
		case last >= 0 && left[last].to == from && left[last].speed == now.speed:
			left[last].to = now.to
		default:
			left = append(left, now)
		}
	}
	return left
}
