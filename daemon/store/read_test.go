package store

import (
	"encoding/json"
	"reflect"
	"testing"

	"pawl/daemon/practice/practicetest"
)

// TestReadBackIsWhatWasSaid is the property of the record: whatever service, what is
// read back are the live entries, in their order, and the live levels.
func TestReadBackIsWhatWasSaid(t *testing.T) {
	for _, name := range practicetest.Services() {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			live := practised(t, name)
			s, _ := recorded(t, live)
			all := services(t, s)
			if len(all) != 1 {
				t.Fatalf("%d services, want 1", len(all))
			}
			got := read(t, s, all[0].ID)
			if len(got) != 1 {
				t.Fatalf("%d stretches, want 1", len(got))
			}
			same(t, got[0].Entries, live.entries)
			sameLevels(t, got[0].Levels, live.levels)
			for i, e := range got[0].Entries {
				want, _ := json.Marshal(live.entries[i])
				if have, _ := json.Marshal(e); string(have) != string(want) {
					t.Fatalf("as JSON, read back:\n%s\nlive:\n%s", have, want)
				}
			}
			run := got[0].Run
			run.Zero = run.Zero.UTC()
			if !reflect.DeepEqual(asKept(run), asKept(live.run)) {
				t.Errorf("run read back:\n%+v\nlive:\n%+v", run, live.run)
			}
		})
	}
}
