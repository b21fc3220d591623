package film

import "testing"

// Drop-frame and non-drop timecode by frame number.
//
// Rows with otio: Academy Software Foundation, OpenTimelineIO, tests/test_opentime.py,
// test_timecode_2997 (reference values), and the test above it (10:03:00;05 and
// 05:01:30;03 of frame 1084319). Rows with smpte: SMPTE ST 12-1, from memory: an
// hour of drop-frame is 107892 frames, ten minutes 17982, a day 2589408, and after
// 00:00:59;29 comes 00:01:00;02.
func TestPublishedTimecodes(t *testing.T) {
	ntsc, double := Rate{30000, 1001}, Rate{60000, 1001}
	for _, c := range []struct {
		rate   Rate
		frame  int64
		text   string
		source string
	}{
		{ntsc, 10789, "00:05:59:19", "otio"}, {ntsc, 10789, "00:05:59;29", "otio"},
		{ntsc, 10790, "00:05:59:20", "otio"}, {ntsc, 10790, "00:06:00;02", "otio"},
		{ntsc, 17981, "00:09:59:11", "otio"}, {ntsc, 17981, "00:09:59;29", "otio"},
		{ntsc, 17982, "00:09:59:12", "otio"}, {ntsc, 17982, "00:10:00;00", "otio"},
		{ntsc, 17983, "00:09:59:13", "otio"}, {ntsc, 17983, "00:10:00;01", "otio"},
		{ntsc, 17984, "00:09:59:14", "otio"}, {ntsc, 17984, "00:10:00;02", "otio"},
		{ntsc, 1084319, "10:03:00;05", "otio"}, {double, 1084319, "05:01:30;03", "otio"},
		{ntsc, 1799, "00:00:59;29", "smpte, from memory"}, {ntsc, 1800, "00:01:00;02", "smpte, from memory"},
		{ntsc, 17982, "00:10:00;00", "smpte, from memory"}, {ntsc, 107892, "01:00:00;00", "smpte, from memory"},
		{ntsc, 2589407, "23:59:59;29", "smpte, from memory"}, {ntsc, 108000, "01:00:00:00", "smpte, from memory"},
	} {
		s, err := ParseStamp(c.text)
		if err != nil {
			t.Fatal(err)
		}
		if n, err := c.rate.frame(s.Value); err != nil || n != c.frame {
			t.Errorf("%s at %s: frame %d %v, published %d (%s)", c.text, c.rate, n, err, c.frame, c.source)
		}
		if got := c.rate.Timecode(c.rate.timeOf(c.frame), s.Value.Count); got != c.text {
			t.Errorf("frame %d at %s: %s, published %s (%s)", c.frame, c.rate, got, c.text, c.source)
		}
	}
}

// The W3C's own examples of times and text: WebVTT, Candidate Recommendation
// 4 April 2019, sections 1.1 (comments and cues) and 4.2.2 (escapes): & is &amp;,
// < is &lt;, > is &gt;.
func TestPublishedEscapes(t *testing.T) {
	if got := vttText.Replace("&<>"); got != "&amp;&lt;&gt;" {
		t.Error(got)
	}
}
