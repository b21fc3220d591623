package journaltest

import (
	"testing"

	"fairburn/journal"
)

func TestMemoryKeepsTheContract(t *testing.T) {
	Run(t, func(testing.TB) Bench {
		m := NewMemory()
		return Bench{Open: func(testing.TB) journal.Store { return m }, Restore: Unpack(NewMemory()), Forgets: true}
	})
}
