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
		{says: "record: {captures: {folder: caught}}", want: Record{Captures: Captures{Folder: "/houses/caught", Most: 4_000_000_000}}},
		{says: "record: {captures: {folder: /var/caught, keep: 60 days, most: 90 MB}}", want: Record{Captures: Captures{Folder: "/var/caught", Keep: 1440 * time.Hour, Most: 90_000_000}}},
		{says: "record: {captures: {keep: 60 days}}", wrong: "folder"},
		{says: "record: {captures: {folder: caught, keep: 0 days}}", wrong: "captures are kept for 0 days; want 1 to 73000"},
		{says: "record: {captures: {folder: caught, most: 0 MB}}", wrong: "captures may take 0 MB; want 1 to 1000000000"},
		{says: "record: {file: none, captures: {folder: caught}}", wrong: "captures are kept beside the record, and there is none"},
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
			case h.Beside(".record") != "/houses/hall.record":
				t.Errorf("beside the file it is %s", h.Beside(".record"))
			}
		})
	}
}
