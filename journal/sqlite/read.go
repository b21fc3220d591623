package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"iter"
	"slices"

	"fairburn/journal"
)

const columns = "SELECT seq, id, signer, signature, received, source, head, CASE WHEN length(body) - 1 <= ?1 THEN body END FROM record "

// beginning reads two bytes more than asked for: one closes the record, another
// tells that there are more.
const beginning = "SELECT seq, id, signer, signature, received, source, head, substr(body, 1, ?1 + 2) FROM record WHERE id = ?2"

// Since yields what was there when reading began, however long it takes.
func (s *Store) Since(ctx context.Context, after int64, largest int) iter.Seq2[journal.Entry, error] {
	return func(yield func(journal.Entry, error) bool) {
		rows, err := s.read.QueryContext(ctx, columns+"WHERE seq > ?2 ORDER BY seq", largest, after)
		if err != nil {
			yield(journal.Entry{}, s.explain("reading", err))
			return
		}
		defer rows.Close()
		for rows.Next() {
			e, err := scan(rows)
			if !yield(e, s.explain("reading", err)) || err != nil {
				return
			}
		}
		if err := rows.Err(); err != nil {
			yield(journal.Entry{}, s.explain("reading", err))
		}
	}
}

// Get returns one record in full.
func (s *Store) Get(ctx context.Context, id journal.ID) (journal.Entry, error) {
	e, err := scan(s.read.QueryRowContext(ctx, columns+"WHERE id = ?2", journal.Whole, id[:]))
	return e, s.found(id, err)
}

// Beginning returns one record without most of a large body.
func (s *Store) Beginning(ctx context.Context, id journal.ID, largest int) (journal.Entry, error) {
	e, err := scan(s.read.QueryRowContext(ctx, beginning, largest, id[:]))
	return e.Shortened(largest), s.found(id, err)
}

// found puts words to what came of looking for one record.
func (s *Store) found(id journal.ID, err error) error {
	if errors.Is(err, sql.ErrNoRows) {
		return fmt.Errorf("record %v in %s: %w", id, s.path, journal.ErrAbsent)
	}
	return s.explain("reading", err)
}

func scan(row interface{ Scan(...any) error }) (journal.Entry, error) {
	var e journal.Entry
	var id, signer, head, body []byte
	var received int64
	if err := row.Scan(&e.Seq, &id, &signer, &e.Signature, &received, &e.Receipt.From, &head, &body); err != nil {
		return journal.Entry{}, err
	}
	copy(e.ID[:], id)
	e.Signer, e.Receipt.At = signer, micro(received)
	e.Bytes, e.Cut = slices.Concat(head, body), body == nil // no spare room: a fold keeps it
	return e, nil
}

// Shunned returns the shun list in order of id.
func (s *Store) Shunned(ctx context.Context) ([]journal.Shunned, error) {
	rows, err := s.read.QueryContext(ctx, "SELECT id, at, why FROM shunned ORDER BY id")
	if err != nil {
		return nil, s.explain("reading", err)
	}
	defer rows.Close()
	var list []journal.Shunned
	for rows.Next() {
		var x journal.Shunned
		var id []byte
		var at int64
		if err := rows.Scan(&id, &at, &x.Why); err != nil {
			return nil, s.explain("reading", err)
		}
		copy(x.ID[:], id)
		x.At = micro(at)
		list = append(list, x)
	}
	return list, s.explain("reading", rows.Err())
}

// Watch tells of changes made through this Store.
func (s *Store) Watch(ctx context.Context) <-chan int64 { return s.hub.Watch(ctx) }
