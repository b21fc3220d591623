package film

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// classes are the published fields of each class, by schema.
func classes(t testing.TB) map[string][]string {
	t.Helper()
	data, err := os.ReadFile("testdata/otio_schema.json")
	if err != nil {
		t.Fatal(err)
	}
	var all struct {
		Classes map[string][]string `json:"classes"`
	}
	if err := json.Unmarshal(data, &all); err != nil {
		t.Fatal(err)
	}
	return all.Classes
}

// strictOTIO walks a file and says where an object has another schema or other
// fields than published. Metadata is free.
func strictOTIO(known map[string][]string, at string, v any) []string {
	var wrong []string
	switch v := v.(type) {
	case []any:
		for i, x := range v {
			wrong = append(wrong, strictOTIO(known, fmt.Sprintf("%s[%d]", at, i), x)...)
		}
	case map[string]any:
		if strings.HasSuffix(at, ".metadata") {
			return nil
		}
		schema, _ := v["OTIO_SCHEMA"].(string)
		fields, ok := known[schema]
		if !ok {
			return []string{fmt.Sprintf("%s: schema %q is not published", at, schema)}
		}
		for name, x := range v {
			if name != "OTIO_SCHEMA" && !slices.Contains(fields, name) {
				wrong = append(wrong, fmt.Sprintf("%s: %s has no field %q", at, schema, name))
			}
			wrong = append(wrong, strictOTIO(known, at+"."+name, x)...)
		}
		for _, name := range fields {
			if _, ok := v[name]; !ok {
				wrong = append(wrong, fmt.Sprintf("%s: %s lacks %q", at, schema, name))
			}
		}
	}
	return wrong
}

type otioFile struct {
	Tracks struct {
		Children []struct {
			Kind    string
			Markers []struct {
				Name  string
				Range struct {
					Start struct{ Value, Rate float64 } `json:"start_time"`
				} `json:"marked_range"`
			}
			Children []struct {
				Schema  string `json:"OTIO_SCHEMA"`
				Name    string
				Effects []struct {
					Scalar float64 `json:"time_scalar"`
				}
				Range struct {
					Start    struct{ Value, Rate float64 } `json:"start_time"`
					Duration struct{ Value, Rate float64 }
				} `json:"source_range"`
				Media struct {
					URL       string `json:"target_url"`
					Available struct {
						Start    struct{ Value, Rate float64 } `json:"start_time"`
						Duration struct{ Value, Rate float64 }
					} `json:"available_range"`
				} `json:"media_reference"`
			}
		}
	}
}

// The timeline by its own numbers: every object as published, items as long as the
// film to half a frame, each media start where the clip is cut in.
func TestInterchangeAgreesWithTheFilm(t *testing.T) {
	known := classes(t)
	rapid.Check(t, func(t *rapid.T) {
		f := edited(t, 600_000)
		f.Rate = rapid.SampledFrom([]Rate{{}, {25, 1}, {30000, 1001}, {60, 1}}).Draw(t, "rate")
		if rapid.Bool().Draw(t, "shots") {
			f.Cuts, f.Speeds = nil, nil
			f.Shots = []Shot{{Title: "a", Length: at("0:05.55")}, {Clip: "A", Speed: 3}, {Clip: "A"}, {Title: "b", Length: at("0:01")}}
		}
		p, _ := Make(f, Filmed{})
		if p == nil {
			return
		}
		var raw any
		var file otioFile
		if err := json.Unmarshal(p.Interchange, &raw); err != nil {
			t.Fatal(err)
		}
		if wrong := strictOTIO(known, "file", raw); len(wrong) > 0 {
			t.Fatal(wrong)
		}
		if err := json.Unmarshal(p.Interchange, &file); err != nil {
			t.Fatal(err)
		}
		rate := pick(f.Rate.known(), f.Rate, usualRate).PerSecond()
		var length float64
		for i, item := range file.Tracks.Children[0].Children {
			q := p.Timeline.pieces[i]
			length += item.Range.Duration.Value / item.Range.Duration.Rate
			if end := q.end.Seconds(); math.Abs(length-end) > 0.5/rate+1e-9 {
				t.Fatalf("item %d ends at %g, the film's piece at %g", i, length, end)
			}
			if start := item.Range.Start.Value / rate; q.clip >= 0 && math.Abs(start-q.from.Seconds()) > 0.5/rate+1e-9 {
				t.Fatalf("item %d starts at %g of its media, the piece at %v", i, start, q.from)
			}
			if speed := float64(q.speed); (speed != 1) != (len(item.Effects) == 1) || speed != 1 && item.Effects[0].Scalar != speed {
				t.Fatalf("item %d at speed %g: %v", i, speed, item.Effects)
			}
			if (q.clip < 0) != (item.Schema == "Gap.1") {
				t.Fatalf("item %d is a %s", i, item.Schema)
			}
		}
	})
}

func TestInterchangeOfAStartAndMarks(t *testing.T) {
	f, filmed := boiled()
	f.Clips[0].Start, f.Clips[0].Syncs[0].At, f.Clips[0].File = stamp("01:00:00:00"), stamp("01:00:10:00"), "foot age/é&1.mp4"
	f.Cuts = []Span{part("", "0:05")}
	p, _ := Make(f, filmed)
	var file otioFile
	if err := json.Unmarshal(p.Interchange, &file); err != nil {
		t.Fatal(err)
	}
	track := file.Tracks.Children[0]
	clip := track.Children[0]
	if clip.Range.Start.Value != 25*3605 || clip.Range.Duration.Value != 25*595 || clip.Media.Available.Start.Value != 25*3600 || clip.Media.Available.Duration.Value != 25*600 {
		t.Errorf("%+v", clip)
	}
	if clip.Media.URL != "foot%20age/%C3%A9&1.mp4" || track.Kind != "Video" {
		t.Error(clip.Media.URL, track.Kind)
	}
	if m := track.Markers[3]; len(track.Markers) != 5 || m.Name != "Fern: boil" || m.Range.Start.Value != 25*(442-5) {
		t.Errorf("%+v", track.Markers)
	}
}

// A medium of 29.97 in a film of 25: what there is of it is told in its own frames.
func TestInterchangeOfTwoRates(t *testing.T) {
	f := &Film{Rate: Rate{25, 1}, Clips: []Clip{{Name: "A", Rate: Rate{30000, 1001}, Start: stamp("01:00:00;00"), Length: stamp("00:10:00;00")}}, Cuts: []Span{part("", "01:00:10;00")}}
	p, fs := Make(f, Filmed{})
	var file otioFile
	if p == nil || json.Unmarshal(p.Interchange, &file) != nil {
		t.Fatal(fs)
	}
	clip := file.Tracks.Children[0].Children[0]
	if a := clip.Media.Available; a.Start.Value != 107892 || a.Duration.Value != 17982 || math.Abs(a.Start.Rate-29.97003) > 1e-5 {
		t.Errorf("%+v", a)
	}
	// 3610.0064 s at 25 frames a second
	if r := clip.Range; r.Start.Value != 90250 || r.Start.Rate != 25 || r.Duration.Value != 14750 {
		t.Errorf("%+v", r)
	}
}

func TestAddress(t *testing.T) {
	for file, want := range map[string]string{
		"": "", "a.mp4": "a.mp4", "/home/a b.mp4": "file:///home/a%20b.mp4", `footage\a.mp4`: "footage/a.mp4", "https://example.test/a.mp4": "https://example.test/a.mp4", "1:2.mp4": "./1:2.mp4",
	} {
		if got := address(file); got != want {
			t.Errorf("%q: %q, want %q", file, got, want)
		}
	}
}
