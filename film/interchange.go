package film

import (
	"bytes"
	"encoding/json"
	"net/url"
	"path"
	"strings"
	"time"
)

// The objects of an OpenTimelineIO file, as far as they are written here. Every
// object names its schema and version; these are the versions that every release
// of the library reads (Clip.1 is brought up to Clip.2 by newer ones).
//
// Source: Academy Software Foundation, OpenTimelineIO documentation, File Format
// Specification, and Serialized Data Documentation (list of classes and fields).
type (
	rational struct {
		Schema string  `json:"OTIO_SCHEMA"`
		Rate   float64 `json:"rate"`
		Value  float64 `json:"value"`
	}
	timeRange struct {
		Schema   string   `json:"OTIO_SCHEMA"`
		Start    rational `json:"start_time"`
		Duration rational `json:"duration"`
	}
	marker struct {
		Schema   string         `json:"OTIO_SCHEMA"`
		Name     string         `json:"name"`
		Color    string         `json:"color"`
		Range    timeRange      `json:"marked_range"`
		Metadata map[string]any `json:"metadata"`
	}
	warp struct {
		Schema   string         `json:"OTIO_SCHEMA"`
		Name     string         `json:"name"`
		Effect   string         `json:"effect_name"`
		Scalar   float64        `json:"time_scalar"`
		Metadata map[string]any `json:"metadata"`
	}
	external struct {
		Schema    string         `json:"OTIO_SCHEMA"`
		Name      string         `json:"name"`
		URL       string         `json:"target_url"`
		Available *timeRange     `json:"available_range"`
		Metadata  map[string]any `json:"metadata"`
	}
	otioItem struct {
		Schema   string         `json:"OTIO_SCHEMA"`
		Name     string         `json:"name"`
		Range    *timeRange     `json:"source_range"`
		Effects  []any          `json:"effects"`
		Markers  []marker       `json:"markers"`
		Metadata map[string]any `json:"metadata"`
	}
	otioClip struct {
		otioItem
		Media external `json:"media_reference"`
	}
	otioComposition struct {
		otioItem
		Kind     string `json:"kind,omitempty"` // of a track
		Children []any  `json:"children"`
	}
	otioTimeline struct {
		Schema   string          `json:"OTIO_SCHEMA"`
		Name     string          `json:"name"`
		Start    *rational       `json:"global_start_time"`
		Tracks   otioComposition `json:"tracks"`
		Metadata map[string]any  `json:"metadata"`
	}
)

// usualRate is the film's frame rate where nobody said (common practice, no source).
var usualRate = Rate{25, 1}

// interchange writes the film as an OpenTimelineIO file: one video track of clips
// and gaps, a time warp where the speed changes, and a marker at each moment
// shown. Items are laid out in frames of the film, each rounded to the nearest,
// so that rounding never adds up; what there is of a medium stands in its own frames.
//
// The format leaves open what a time warp does to a clip's range. As in the
// library's own adapters, a range begins in the media and lasts as long as it
// plays in the film.
func (f *Film) interchange(t Timeline, shown []Shown) ([]byte, error) {
	l := layer{rate: pick(f.Rate.known(), f.Rate, usualRate)}
	track := otioComposition{otioItem: item("Track.1", "burns"), Kind: "Video", Children: []any{}}
	for _, p := range t.pieces {
		track.Children = append(track.Children, l.item(t, p))
	}
	for _, s := range shown {
		if s.InFilm {
			track.Markers = append(track.Markers, marker{"Marker.2", plain(s.who() + ": " + s.Label), "RED", l.span(s.Film, s.Film), map[string]any{}})
		}
	}
	stack := otioComposition{otioItem: item("Stack.1", "tracks"), Children: []any{track}}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetIndent("", "  ")
	err := e.Encode(otioTimeline{Schema: "Timeline.1", Name: plain(f.Title), Tracks: stack, Metadata: map[string]any{}})
	return b.Bytes(), err
}

func item(schema, name string) otioItem {
	return otioItem{Schema: schema, Name: name, Effects: []any{}, Markers: []marker{}, Metadata: map[string]any{}}
}

// layer lays pieces out in frames.
type layer struct{ rate Rate }

func (l layer) at(frames int64) rational {
	return rational{"RationalTime.1", l.rate.PerSecond(), float64(frames)}
}

// span is from one time of the film to another, in frames.
func (l layer) span(from, to time.Duration) timeRange {
	a, b := l.rate.frames(from), l.rate.frames(to)
	return timeRange{"TimeRange.1", l.at(a), l.at(b - a)}
}

// item is a piece as a clip or a gap.
func (l layer) item(t Timeline, p piece) any {
	length := l.span(p.start, p.end).Duration
	if p.clip < 0 {
		gap := item("Gap.1", plain(p.title))
		gap.Range = &timeRange{"TimeRange.1", l.at(0), length}
		return gap
	}
	c := t.clips[p.clip]
	first, _ := c.Rate.Time(c.Start.Value) // checked with the clip
	clip := otioClip{otioItem: item("Clip.1", plain(c.Name))}
	clip.Range = &timeRange{"TimeRange.1", l.at(l.rate.frames(first + p.from)), length}
	if p.speed != 1 {
		clip.Effects = append(clip.Effects, warp{"LinearTimeWarp.1", "speed", "LinearTimeWarp", float64(p.speed), map[string]any{}})
	}
	clip.Media = external{Schema: "ExternalReference.1", Name: plain(c.Name), URL: address(c.File), Metadata: map[string]any{}}
	if d, known, _ := c.length(); known {
		own := layer{pick(c.Rate.known(), c.Rate, l.rate)}
		clip.Media.Available = &timeRange{"TimeRange.1", own.at(own.rate.frames(first)), own.at(own.rate.frames(d))}
	}
	return clip
}

// address is a file's address: one as typed, else a relative or file one.
func address(file string) string {
	if u, err := url.Parse(file); err == nil && len(u.Scheme) > 1 {
		return file
	}
	u := url.URL{Path: strings.ReplaceAll(file, `\`, "/")}
	if path.IsAbs(u.Path) {
		u.Scheme = "file"
	}
	return u.String()
}
