package film

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"fairburn/burn"
)

// ffmpeg runs one of its two programs in a folder. ./check installs them (package
// ffmpeg); without them the test fails, or is skipped where FAIRBURN_ALLOW_MISSING
// is set.
func ffmpeg(t *testing.T, dir, program string, args ...string) []byte {
	t.Helper()
	if _, err := exec.LookPath(program); err != nil {
		if os.Getenv("FAIRBURN_ALLOW_MISSING") != "" {
			t.Skip("NOT TESTED: ffmpeg is not installed (package ffmpeg)")
		}
		t.Fatalf("%v: ffmpeg is needed (package ffmpeg)", err)
	}
	c := exec.Command(program, append([]string{"-v", "warning"}, args...)...)
	c.Dir = dir
	var said strings.Builder
	c.Stderr = &said
	out, err := c.Output()
	if err != nil || said.Len() > 0 {
		t.Fatalf("%s %s: %v\n%s", program, strings.Join(args, " "), err, said.String())
	}
	return out
}

// short is a film of 90 s of two burns with awkward names.
func short(t *testing.T) *Published {
	f := &Film{Title: "A & B <b>", Clips: []Clip{{Name: "A", File: "a.mp4", Length: stamp("2:00"), Syncs: []Sync{{At: stamp("0:15.25"), Burn: "1"}, {At: stamp("0:18"), Burn: "2"}}}}, Cuts: []Span{part("1:00", "1:30")}}
	filmed := Filmed{Burns: []burn.Record{burned("1", "Fern & <i>Rue</i>", map[burn.Mark]float64{burn.PotOn: 15, burn.Boil: 80.125, burn.Out: 90}), burned("2", `{\an8}--> Ünï`, map[burn.Mark]float64{burn.Boil: 93})}}
	p, fs := Make(f, filmed)
	if p == nil {
		t.Fatal(fs)
	}
	return p
}

func write(t *testing.T, dir, name, text string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// read by ffprobe: packets of a stream with their text, and chapters.
type probed struct {
	Packets []struct {
		Start    string `json:"pts_time"`
		Duration string `json:"duration_time"`
	}
	Chapters []struct {
		Start string `json:"start_time"`
		End   string `json:"end_time"`
		Tags  struct{ Title string }
	}
	Streams []struct {
		Codec string `json:"codec_name"`
	}
}

func probe(t *testing.T, dir, file string, args ...string) probed {
	t.Helper()
	var p probed
	out := ffmpeg(t, dir, "ffprobe", append(append([]string{"-of", "json"}, args...), file)...)
	if err := json.Unmarshal(out, &p); err != nil {
		t.Fatal(err)
	}
	return p
}

func near(t *testing.T, what, got string, want time.Duration) {
	t.Helper()
	if s, err := strconv.ParseFloat(got, 64); err != nil || math.Abs(s-want.Seconds()) > 0.0006 {
		t.Errorf("%s at %s s, want %v", what, got, want)
	}
}

// Captions, chapters and the clock are muxed into a generated clip and read back:
// every cue is there with its times and its text.
func TestMuxedAndReadBack(t *testing.T) {
	p, dir := short(t), t.TempDir()
	write(t, dir, "captions.srt", SRT(p.Captions))
	write(t, dir, "captions.vtt", WebVTT(p.Captions))
	write(t, dir, "clock.vtt", WebVTTData(p.Clock))
	write(t, dir, "chapters.ini", metadata(t, WebVTT(p.Chapters)))
	length := fmt.Sprint(p.Timeline.Length().Seconds())
	ffmpeg(t, dir, "ffmpeg", "-f", "lavfi", "-i", "color=c=navy:size=160x90:rate=25:duration="+length, "-i", "captions.srt", "-i", "captions.vtt", "-i", "clock.vtt", "-i", "chapters.ini",
		"-map", "0:v", "-map", "1:s", "-map", "2:s", "-map", "3:s", "-map_chapters", "4", "-c:v", "mpeg4", "-c:s", "copy", "film.mkv")
	for i, want := range [][]Cue{p.Captions, p.Captions, p.Clock} {
		got := probe(t, dir, "film.mkv", "-select_streams", fmt.Sprintf("s:%d", i), "-show_entries", "packet=pts_time,duration_time:stream=codec_name")
		if len(got.Packets) != len(want) {
			t.Fatalf("subtitles %d (%v): %d packets of %d cues", i, got.Streams, len(got.Packets), len(want))
		}
		for j, c := range want {
			near(t, c.Lines[0], got.Packets[j].Start, c.Start)
			near(t, c.Lines[0]+" lasts", got.Packets[j].Duration, c.End-c.Start)
		}
	}
	if d := cmp.Diff(SRT(p.Captions), strings.TrimSuffix(string(ffmpeg(t, dir, "ffmpeg", "-i", "film.mkv", "-map", "0:s:0", "-f", "srt", "-c", "copy", "-")), "\n")); d != "" {
		t.Error(d)
	}
	back := strings.TrimSuffix(string(ffmpeg(t, dir, "ffmpeg", "-i", "film.mkv", "-map", "0:s:1", "-f", "webvtt", "-c", "copy", "-")), "\n") + "\n"
	if cues, err := strictVTT(hours(back), captionText); err != nil || !cmp.Equal(cues, p.Captions) {
		t.Errorf("%v %s\n%s", err, cmp.Diff(p.Captions, cues), back)
	}
	chapters := probe(t, dir, "film.mkv", "-show_chapters").Chapters
	if len(chapters) != len(p.Chapters) || len(chapters) < leastChapters {
		t.Fatalf("%d chapters of %d", len(chapters), len(p.Chapters))
	}
	for i, c := range p.Chapters {
		near(t, c.Lines[0], chapters[i].Start, c.Start)
		near(t, c.Lines[0]+" ends", chapters[i].End, c.End)
		if chapters[i].Tags.Title != c.Lines[0] {
			t.Errorf("chapter %q arrived as %q", c.Lines[0], chapters[i].Tags.Title)
		}
	}
}

// What a player shows of the SRT file: decoded, nothing of a name was taken for
// markup.
func TestSRTAsShown(t *testing.T) {
	p, dir := short(t), t.TempDir()
	write(t, dir, "captions.srt", SRT(p.Captions))
	ass := string(ffmpeg(t, dir, "ffmpeg", "-i", "captions.srt", "-f", "ass", "-"))
	for _, c := range p.Captions {
		lines := strings.Split(unmarked(strings.Join(c.Lines, "\n")), "\n")
		if want := ",," + strings.Join(lines, `\N`) + "\n"; !strings.Contains(strings.ReplaceAll(ass, "\r", ""), want) {
			t.Errorf("%q is not shown in\n%s", want, ass)
		}
	}
	if strings.ContainsAny(ass[strings.Index(ass, "[Events]"):], "{}<>") {
		t.Errorf("markup in\n%s", ass)
	}
}

// metadata is the chapter track, read strictly, as a file of ffmpeg's chapters.
func metadata(t *testing.T, track string) string {
	t.Helper()
	cues, err := strictVTT(track, titleText)
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	b.WriteString(";FFMETADATA1\n")
	escape := strings.NewReplacer("=", `\=`, ";", `\;`, "#", `\#`, `\`, `\\`)
	for _, c := range cues {
		fmt.Fprintf(&b, "[CHAPTER]\nTIMEBASE=1/1000\nSTART=%d\nEND=%d\ntitle=%s\n", c.Start.Milliseconds(), c.End.Milliseconds(), escape.Replace(c.Lines[0]))
	}
	return b.String()
}

// hours puts the hours back that ffmpeg leaves out.
func hours(vtt string) string {
	var b strings.Builder
	for line := range strings.Lines(vtt) {
		if from, to, ok := strings.Cut(line, " --> "); ok && len(from) == 9 {
			line = "00:" + from + " --> 00:" + to
		}
		b.WriteString(line)
	}
	return b.String()
}
