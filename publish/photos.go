package publish

import (
	"context"
	"fmt"

	"fairburn/bench"
	"fairburn/pack"
	"fairburn/trial"
)

// Photos are the photos of a trial's burners and burns, as the bench keeps them: only
// pixels, no place and no camera. Captions stay behind, since names may stand in them.
func Photos(ctx context.Context, b *bench.Bench, t *trial.Trial) ([]pack.File, error) {
	type shown struct{ kind, subject, of string }
	var all []shown
	for _, x := range t.Shelf.Burners {
		all = append(all, shown{"burner", x.Name, "burner " + x.Name})
	}
	for _, r := range t.Burns {
		all = append(all, shown{"burn", bench.BurnSubject(t.Title, r.ID), "burn " + r.ID})
	}
	var files []pack.File
	for _, x := range all {
		for _, p := range b.Photos(x.kind, x.subject) {
			jpeg, _, err := b.Photo(ctx, p.ID)
			if err != nil {
				return nil, err
			}
			files = append(files, pack.File{Path: fmt.Sprintf("photos/%03d.jpg", len(files)+1), Data: jpeg, Says: "photo of " + x.of})
		}
	}
	return files, nil
}
