package house

import (
	"strings"
	"testing"
	"time"

	"pawl/daemon/practice"
)

// TestRecord reads what a house file says of the record.
func TestRecord(t *testing.T) {
	for _, c := range []struct {
		says  string
		want  Record
		wrong string // part of the fault
	}{
		{says: ""},
		{says: "record: {file: evening.record, keep: 30 days, most: 1.5 MB}", want: Record{File: "/houses/evening.record", Keep: 720 * time.Hour, Most: 1_500_000}},
		{says: "record: {file: /var/evening.record}", want: Record{File: "/var/evening.record"}},
		{says: "record: {file: none}", want: Record{None: true}},
		{says: "record: {keep: 0 days}", wrong: "kept for 0 days; want 1 to 73000"},
		{says: "record: {keep: 30}", wrong: "want a number with its unit, such as \"6 days\""},
		{says: "record: {most: 0.5 MB}", wrong: "may take 0.5 MB; want 1 to 1000000000"},
		{says: "record: {folder: x}", wrong: "folder"},
	} {
		t.Run(c.says, func(t *testing.T) {
			files := Files{"hall.house.yaml": string(practice.House()) + "\n" + c.says + "\n", "harbour-hall.map.yaml": string(practice.MapFile())}
			h, faults := files.Load("/houses/hall.house.yaml")
			switch {
			case c.wrong != "":
				if h != nil || !strings.Contains(faults.Error(), c.wrong) {
					t.Errorf("faults %v, want one that says %q", faults, c.wrong)
				}
			case h == nil:
				t.Fatal(faults)
			case h.Record != c.want:
				t.Errorf("got %+v, want %+v", h.Record, c.want)
			case h.RecordBeside() != "/houses/hall.record":
				t.Errorf("beside the file it is %s", h.RecordBeside())
			}
		})
	}
}
