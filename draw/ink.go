package draw

import "image/color"

// Ink names a colour by its job. What colour it is depends on the ground.
type Ink uint8

// The inks. Entry inks follow EntryBase; ask EntryInk for them.
const (
	None   Ink = iota // draws nothing
	Ground            // the paper, for cutting letters free of what lies below
	Body              // text and data that carry the message
	Muted             // axis labels and notes; still text contrast
	Grid              // hairlines
	Veil              // bands behind data
	Accent            // flame blue: what a person acts on or should look at first
	entryBase
)

// Entries is how many entries have a colour and shape of their own.
const Entries = 8

// EntryInk is the colour of the entry with this index; it repeats after Entries.
func EntryInk(index int) Ink { return entryBase + Ink(wrap(index)) }

// EntryShape is the marker shape of the entry with this index; it repeats after Entries.
func EntryShape(index int) Shape { return Shape(wrap(index)) }

func wrap(index int) int { return (index%Entries + Entries) % Entries }

// Theme gives each ink a colour.
type Theme struct {
	name string
	inks [int(entryBase) + Entries]color.NRGBA
}
