package postgres

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"time"

	"github.com/jackc/pgx/v5"

	"fairburn/journal"
)

const columns = "SELECT seq, id, signer, signature, received, source, head, CASE WHEN length(body) - 1 <= $1 THEN body END FROM fairburn.record "

const newest = "SELECT coalesce(max(seq), 0) FROM fairburn.record"

// Since yields what was there when reading began, however long it takes.
func (s *Store) Since(ctx context.Context, after int64, largest int) iter.Seq2[journal.Entry, error] {
	return func(yield func(journal.Entry, error) bool) {
		rows, err := s.pool.Query(ctx, columns+"WHERE seq > $2 ORDER BY seq", largest, after)
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
	e, err := scan(s.pool.QueryRow(ctx, columns+"WHERE id = $2", journal.Whole, id[:]))
	if errors.Is(err, pgx.ErrNoRows) {
		return e, fmt.Errorf("record %v in %s: %w", id, s.name, journal.ErrAbsent)
	}
	return e, s.explain("reading", err)
}

func scan(row pgx.Row) (journal.Entry, error) {
	var e journal.Entry
	var id, signer, head, body []byte
	if err := row.Scan(&e.Seq, &id, &signer, &e.Signature, &e.Receipt.At, &e.Receipt.From, &head, &body); err != nil {
		return journal.Entry{}, err
	}
	copy(e.ID[:], id)
	e.Signer, e.Receipt.At = signer, e.Receipt.At.UTC()
	e.Bytes, e.Cut = append(head, body...), body == nil
	return e, nil
}

// Shunned returns the shun list in order of id.
func (s *Store) Shunned(ctx context.Context) ([]journal.Shunned, error) {
	rows, err := s.pool.Query(ctx, "SELECT id, at, why FROM fairburn.shunned ORDER BY id")
	if err != nil {
		return nil, s.explain("reading", err)
	}
	list, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (journal.Shunned, error) {
		var id []byte
		var at time.Time
		var x journal.Shunned
		err := row.Scan(&id, &at, &x.Why)
		copy(x.ID[:], id)
		x.At = at.UTC()
		return x, err
	})
	return list, s.explain("reading", err)
}
