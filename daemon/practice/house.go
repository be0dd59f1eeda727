package practice

import _ "embed"

// What the demo needs is part of the program; whatever only tests play stands in
// testdata at the top.
var (
	//go:embed harbour-hall.house.yaml
	house []byte
	//go:embed harbour-hall.map.yaml
	mapFile []byte
	//go:embed harbour-hall.txt
	service []byte
)

// House is harbour-hall.house.yaml: the house file of the demo, whose roster is
// the practice desk's. The caller may change the bytes.
func House() []byte { return append([]byte(nil), house...) }

// MapFile is harbour-hall.map.yaml: the map of the demo desk's dialect. The
// caller may change the bytes.
func MapFile() []byte { return append([]byte(nil), mapFile...) }

// HarbourHall is harbour-hall.txt: the demo's service.
func HarbourHall() *Script {
	s, err := ParseScript("harbour-hall.txt", service)
	if err != nil {
		panic(err) // the file is part of the program, and a test reads it
	}
	return s
}
