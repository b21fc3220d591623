// Package gear holds what lies on the bench, as built or as bought: burners,
// pots, lids, screens, stands, fuel batches and instruments.
//
// It describes things and refuses to judge them: no figure of a burn lives
// here. Read burner.go first, then cookware.go, fuel.go, instrument.go and
// shelf.go, which finds things by name and says what is wrong with the lot.
package gear
