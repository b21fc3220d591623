package postgres

import (
	"bytes"
	"context"
	"fmt"
	"iter"
	"slices"

	"github.com/jackc/pgx/v5/pgconn"

	"fairburn/journal"
)

const columns = "SELECT seq, id, signer, signature, received, source, head, CASE WHEN length(body) - 1 <= $1::bigint THEN body END FROM fairburn.record "

// beginning reads two bytes more than asked for: one closes the record, another
// tells that there are more.
const beginning = "SELECT seq, id, signer, signature, received, source, head, substring(body FOR $1::bigint::int + 2) FROM fairburn.record WHERE id = $2::bytea"

const newest = "SELECT coalesce(max(seq), 0) FROM fairburn.record"

// Since yields what was there when reading began, however long it takes.
func (s *Store) Since(ctx context.Context, after int64, largest int) iter.Seq2[journal.Entry, error] {
	return func(yield func(journal.Entry, error) bool) {
		w := s.watch(ctx, 0)
		defer w.stop()
		err := s.on(w, func(conn *pgconn.PgConn) error {
			query := columns + "WHERE seq > $2::bigint ORDER BY seq"
			rows := conn.ExecParams(w, query, [][]byte{number(int64(largest)), number(after)}, nil, binaries, binaries)
			for rows.NextRow() {
				w.pause() // the reader may take their time
				if !yield(entry(rows.Values()), nil) {
					return nil // on closes a connection that is left in the middle
				}
				w.again()
			}
			_, err := rows.Close()
			return err
		})
		if err != nil {
			yield(journal.Entry{}, s.explain(ctx, "reading", w.came(err)))
		}
	}
}

// Get returns one record in full.
func (s *Store) Get(ctx context.Context, id journal.ID) (journal.Entry, error) {
	return s.get(ctx, columns+"WHERE id = $2::bytea", journal.Whole, id)
}

func (s *Store) get(ctx context.Context, query string, largest int, id journal.ID) (journal.Entry, error) {
	rows, err := s.rows(ctx, query, number(int64(largest)), id[:])
	if err != nil {
		return journal.Entry{}, s.explain(ctx, "reading", err)
	}
	if len(rows) == 0 {
		return journal.Entry{}, fmt.Errorf("record %v in %s: %w", id, s.name, journal.ErrAbsent)
	}
	return entry(rows[0]), nil
}

// Beginning returns one record without most of a large body.
func (s *Store) Beginning(ctx context.Context, id journal.ID, largest int) (journal.Entry, error) {
	e, err := s.get(ctx, beginning, largest, id)
	return e.Shortened(largest), err
}

// rows reads the whole answer to a query.
func (s *Store) rows(ctx context.Context, query string, params ...[]byte) ([][][]byte, error) {
	var got *pgconn.Result
	w := s.watch(ctx, 0)
	defer w.stop()
	err := s.on(w, func(conn *pgconn.PgConn) error {
		got = conn.ExecParams(w, query, params, nil, binaries, binaries).Read()
		return got.Err
	})
	if err != nil {
		return nil, w.came(err)
	}
	return got.Rows, nil
}

// entry copies a row of columns, whose bytes are the connection's.
func entry(row [][]byte) journal.Entry {
	var e journal.Entry
	e.Seq = asNumber(row[0])
	copy(e.ID[:], row[1])
	e.Signer, e.Signature = bytes.Clone(row[2]), bytes.Clone(row[3])
	e.Receipt = journal.Receipt{At: asMoment(row[4]), From: string(row[5])}
	e.Bytes, e.Cut = slices.Concat(row[6], row[7]), row[7] == nil
	return e
}

// Shunned returns the shun list in order of id.
func (s *Store) Shunned(ctx context.Context) ([]journal.Shunned, error) {
	rows, err := s.rows(ctx, "SELECT id, at, why FROM fairburn.shunned ORDER BY id")
	if err != nil {
		return nil, s.explain(ctx, "reading", err)
	}
	var list []journal.Shunned
	for _, row := range rows {
		x := journal.Shunned{At: asMoment(row[1]), Why: string(row[2])}
		copy(x.ID[:], row[0])
		list = append(list, x)
	}
	return list, nil
}
