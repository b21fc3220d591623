package gear

import (
	"fairburn/quantity"
)

// Family says how a burner works. The families are those that builders
// distinguish (common practice, no source).
type Family string

// The families.
const (
	OpenCup      Family = "open cup"          // a pool burns from its surface
	CapillaryRim Family = "capillary rim"     // a snug strip lifts fuel to the rim
	NotchedRings Family = "notched rings"     // metal rings carry heat into the fuel
	RimHoles     Family = "rim holes"         // the pot closes the top, flame leaves by side holes
	AirJacket    Family = "air jacket"        // a vented outer can warms the air
	SideJets     Family = "side jets"         // double wall, open centre, jets in the wall
	TopJets      Family = "top jets"          // closed top, jets round the fill hole
	SlitSeam     Family = "slit seam"         // folds or slits are the channels
	Wick         Family = "wick"              // felt or fibre holds the fuel
	LowPressure  Family = "low pressure wick" // shop-made double wall with wick and screw cap
)

var families = []quantity.Word[Family]{
	{Kept: OpenCup},
	{Kept: CapillaryRim, Also: []string{"virtual wick", "capillary gap"}},
	{Kept: NotchedRings},
	{Kept: RimHoles, Also: []string{"rim hole", "rim hole can"}},
	{Kept: AirJacket},
	{Kept: SideJets, Also: []string{"side jet", "rim jets", "double wall"}},
	{Kept: TopJets, Also: []string{"top jet", "centre fill", "center fill"}},
	{Kept: SlitSeam, Also: []string{"crimped seam", "rolled seam"}},
	{Kept: Wick, Also: []string{"felt"}},
	{Kept: LowPressure, Also: []string{"low pressure", "brass"}},
}

// ParseFamily reads a family by its name or a common other one.
func ParseFamily(s string) (Family, error) { return quantity.ParseWord("burner family", s, families) }

// Blooms reports whether a burner of the family passes from a pool flame to
// flames at jets, slits or side holes at a moment that can be seen. A wick or an
// open pool has no such moment.
func (f Family) Blooms() bool {
	switch f {
	case SideJets, TopJets, SlitSeam, LowPressure, CapillaryRim, RimHoles:
		return true
	}
	return false
}

// TakesPotBeforeBloom reports whether the pot goes on before the flame has
// settled, because the pot itself closes the burner.
func (f Family) TakesPotBeforeBloom() bool { return f == RimHoles }

// Burner is one burner as built or as bought. Only Name is needed; what was
// not measured is missing and never assumed.
type Burner struct {
	Name      string
	Family    Family
	ShopMade  bool
	Can       quantity.Reading[quantity.Length] // diameter of the outer can
	Height    quantity.Reading[quantity.Length]
	WallGap   quantity.Reading[quantity.Length] // between inner and outer wall
	InnerWall InnerWall
	FillHole  quantity.Reading[quantity.Length] // diameter of the hole or open centre
	Jets      []JetRing                         // one for each ring, lowest first
	Wicking   WickFill
	Seam      Seam
	DryMass   quantity.Reading[quantity.Mass]
	Holds     quantity.Reading[quantity.Volume] // up to the level that does not spill
	Parent    string                            // the burner that this one was changed from
	Changed   string                            // what was changed against the parent
	Traits    []Trait
	Marker    int // index of the colour and shape that stand for it on every page; 0 = not yet chosen
	Notes     string
}

// InnerWall is the strip that makes the annulus of a double wall.
type InnerWall struct {
	Height  quantity.Reading[quantity.Length]
	Notches int
	Spliced bool
}

// JetRing is one ring of equal holes.
type JetRing struct {
	Count     int
	Diameter  quantity.Reading[quantity.Length] // as measured, not the drill's name
	Tool      string                            // "pin", "#60 drill", "paper punch"
	Height    quantity.Reading[quantity.Length] // above the base
	Direction string                            // "up", "slope" or "side"
}

// WickFill is the absorbent in a burner, if any.
type WickFill struct {
	Material string
	Mass     quantity.Reading[quantity.Mass]
	Height   quantity.Reading[quantity.Length]
}

// Seam says how the parts hold together.
type Seam struct {
	Kind string // "interference", "foil tape", "epoxy", "crimp"
	Cure string
}

// TraitKind is something a burner can or cannot do that no figure shows.
type TraitKind string

// The traits that testers report beside the figures.
const (
	StandsAlone  TraitKind = "stands alone"
	StoresFuel   TraitKind = "stores fuel"
	Simmers      TraitKind = "simmers"
	NeedsPriming TraitKind = "needs priming"
	Soots        TraitKind = "soots"
)

var traitKinds = []quantity.Word[TraitKind]{
	{Kept: StandsAlone, Also: []string{"free standing"}},
	{Kept: StoresFuel, Also: []string{"keeps fuel"}},
	{Kept: Simmers, Also: []string{"simmer"}},
	{Kept: NeedsPriming, Also: []string{"priming"}},
	{Kept: Soots, Also: []string{"soot"}},
}

// ParseTrait reads a trait's name.
func ParseTrait(s string) (TraitKind, error) { return quantity.ParseWord("trait", s, traitKinds) }

// Trait is one such claim, with the burns or the note that show it.
type Trait struct {
	Kind    TraitKind
	Holds   bool     // false: seen not to hold
	ShownBy []string // burn ids
	Note    string
}
