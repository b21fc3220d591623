package film

import (
	"fmt"
	"math"
	"math/big"
	"regexp"
	"strconv"
	"strings"
	"time"

	"fairburn/quantity"
)

// Count says how a time of footage was typed.
type Count int

// The ways of counting. Timecode without dropping gives every frame the next
// number; drop-frame leaves out the numbers 0 and 1 (at 59.94 also 2 and 3) at the
// start of every minute but each tenth, so that an hour of numbers is an hour to
// 3.6 ms although 30 numbers a second stand for 29.97 frames. No frame is dropped.
//
// Source: SMPTE ST 12-1:2014, time address of frames, drop-frame compensation
// (rule from memory; check values in published_test.go).
const (
	Elapsed Count = iota // 7:12.04, from the first frame
	Frames               // 00:07:12:01
	Drop                 // 00:07:12;01
)

// Stamp is a time in a clip as typed. A timecode names a frame; which time that
// is takes the clip's rate.
type Stamp struct {
	Time  time.Duration // the whole seconds, where Count is not Elapsed
	Frame int
	Count Count
}

// String writes the stamp so that ParseStamp reads it.
func (s Stamp) String() string {
	whole := int64(s.Time / time.Second)
	mark := ":"
	switch s.Count {
	case Elapsed:
		text := strings.TrimRight(fmt.Sprintf("%d:%02d.%09d", whole/60, whole%60, s.Time%time.Second), "0")
		return strings.TrimSuffix(text, ".")
	case Drop:
		mark = ";"
	}
	return fmt.Sprintf("%02d:%02d:%02d%s%02d", whole/3600, whole/60%60, whole%60, mark, s.Frame)
}

var codes = regexp.MustCompile(`^\s*(\d{1,2})([:;])(\d{2})([:;])(\d{2})([:;])(\d{2,3})\s*$`)

const wantStamp = "a time in a clip: minutes:seconds (7:12.04), or a timecode with frames (00:07:12:01, drop-frame 00:07:12;01)"

// ParseStamp reads a time in a clip: "7:12", "7:12.04", "1:02:33" and "90 s" from
// its first frame, the timecode "00:07:12:01", and drop-frame "00:07:12;01" (or
// with semicolons throughout). Whether the frame exists, the clip's rate says.
func ParseStamp(s string) (quantity.Reading[Stamp], error) {
	m := codes.FindStringSubmatch(s)
	if m == nil {
		d, err := quantity.ParseDuration(s)
		if pe, ok := err.(*quantity.ParseError); ok {
			again := *pe
			again.Want = wantStamp
			err = &again
		}
		return quantity.Reading[Stamp]{Value: Stamp{Time: d.Value}, Text: s, Unit: d.Unit, Step: d.Step, Tolerance: d.Tolerance, Given: err == nil}, err
	}
	var n [4]int
	for i := range n {
		n[i], _ = strconv.Atoi(m[1+2*i]) // digits only
	}
	if n[0] > 23 || n[1] > 59 || n[2] > 59 {
		return quantity.Reading[Stamp]{}, &quantity.ParseError{Text: s, Want: wantStamp, Column: 1, Hint: "hours run from 0 to 23, minutes and seconds from 0 to 59"}
	}
	v := Stamp{Time: time.Duration(3600*n[0]+60*n[1]+n[2]) * time.Second, Frame: n[3], Count: Frames}
	if strings.Contains(s, ";") {
		v.Count = Drop
	}
	return quantity.Reading[Stamp]{Value: v, Text: s, Unit: "timecode", Given: true}, nil
}

// Rate is a number of frames a second, exact: 30000/1001 is what people call
// 29.97. The zero Rate is not known.
type Rate struct{ Num, Den int64 }

// Known rates, as people write them. The broken ones are the whole one times
// 1000/1001 (SMPTE ST 12-1; from memory).
var rateNames = map[string]Rate{
	"23.976": {24000, 1001}, "23.98": {24000, 1001}, "29.97": {30000, 1001}, "47.952": {48000, 1001},
	"59.94": {60000, 1001}, "119.88": {120000, 1001},
}

var rateText = regexp.MustCompile(`^(\d{1,6})(?:/(\d{1,4}))?$`)

// ParseRate reads a frame rate: "25", "29.97", "30000/1001"; from 1 to 1000
// frames a second.
func ParseRate(s string) (quantity.Reading[Rate], error) {
	text := strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(s), "fps"))
	r, ok := rateNames[text]
	if m := rateText.FindStringSubmatch(text); !ok && m != nil {
		r.Num, _ = strconv.ParseInt(m[1], 10, 64)
		r.Den, _ = strconv.ParseInt(m[2], 10, 64)
		if m[2] == "" {
			r.Den = 1
		}
		ok = r.Den > 0 && r.Num >= r.Den && r.Num <= 1000*r.Den
	}
	if !ok {
		return quantity.Reading[Rate]{}, &quantity.ParseError{Text: s, Want: "a frame rate from 1 to 1000 frames a second", Column: 1, Hint: "write 24, 25, 30, 50, 60, 23.976, 29.97, 59.94, or the exact 30000/1001"}
	}
	return quantity.Reading[Rate]{Value: r, Text: s, Given: true}, nil
}

// String writes the rate so that ParseRate reads it.
func (r Rate) String() string {
	for _, name := range []string{"23.976", "29.97", "47.952", "59.94", "119.88"} {
		if rateNames[name] == r {
			return name
		}
	}
	if r.Den == 1 {
		return strconv.FormatInt(r.Num, 10)
	}
	return fmt.Sprintf("%d/%d", r.Num, r.Den)
}

func (r Rate) known() bool { return r.Num > 0 && r.Den > 0 }

// PerSecond is the rate as a number.
func (r Rate) PerSecond() float64 { return float64(r.Num) / float64(r.Den) }

// base is how many frame numbers a second of timecode has.
func (r Rate) base() int64 { return int64(math.Ceil(r.PerSecond() - 1e-9)) }

// dropped is how many numbers drop-frame leaves out a minute; 0 where the rate
// has no drop-frame.
func (r Rate) dropped() int64 {
	if r.Den == 1001 && (r.Num == 30000 || r.Num == 60000) {
		return r.Num / 15000
	}
	return 0
}

// frame is the number of the frame that a timecode names, from 0.
func (r Rate) frame(s Stamp) (int64, error) {
	base, seconds := r.base(), int64(s.Time/time.Second)
	if int64(s.Frame) >= base {
		return 0, fmt.Errorf("read %s, and at %s frames a second they are numbered 0 to %d", s, r, base-1)
	}
	n := base*seconds + int64(s.Frame)
	if s.Count != Drop {
		return n, nil
	}
	gone, minutes := r.dropped(), seconds/60
	switch {
	case gone == 0:
		return 0, fmt.Errorf("read %s, and only 29.97 and 59.94 frames a second are counted drop-frame, not %s", s, r)
	case seconds%60 == 0 && minutes%10 != 0 && int64(s.Frame) < gone:
		return 0, fmt.Errorf("read %s, a number that drop-frame leaves out: the minute begins with frame %d", s, gone)
	}
	return n - gone*(minutes-minutes/10), nil
}

// Time is a stamp as time from the timecode 0. The error says why a timecode has
// none.
func (r Rate) Time(s Stamp) (time.Duration, error) {
	switch {
	case s.Count == Elapsed:
		return s.Time, nil
	case !r.known():
		return 0, fmt.Errorf("read the timecode %s of a clip whose frame rate is not known", s)
	}
	n, err := r.frame(s)
	return r.timeOf(n), err
}

// timeOf is when a frame begins, to the nearest nanosecond.
func (r Rate) timeOf(frame int64) time.Duration {
	n := new(big.Int).Mul(big.NewInt(2*frame*r.Den), big.NewInt(int64(time.Second)))
	n.Add(n, big.NewInt(r.Num))
	return time.Duration(n.Div(n, big.NewInt(2*r.Num)).Int64())
}

// frames is a time in frames, to the nearest.
func (r Rate) frames(d time.Duration) int64 {
	n := new(big.Int).Mul(big.NewInt(int64(d)), big.NewInt(2*r.Num))
	per := big.NewInt(r.Den * int64(time.Second))
	n.Add(n, per)
	return n.Div(n, per.Mul(per, big.NewInt(2))).Int64()
}

// Timecode is the timecode of the frame nearest to a time from the timecode 0.
func (r Rate) Timecode(d time.Duration, count Count) string {
	n, base, gone := r.frames(d), r.base(), r.dropped()
	if count == Drop && gone > 0 {
		ten := 600*base - 9*gone // frames in ten minutes
		tens, rest := n/ten, n%ten
		n += 9 * gone * tens
		if rest >= gone {
			n += gone * ((rest - gone) / (60*base - gone))
		}
	}
	return Stamp{Time: time.Duration(n/base) * time.Second, Frame: int(n % base), Count: count}.String()
}

// step is how finely a time was read, in s: a frame, or the last digit where that
// is coarser.
func (r Rate) step(s quantity.Reading[Stamp]) float64 {
	if !r.known() {
		return s.Step
	}
	return max(s.Step, 1/r.PerSecond())
}
