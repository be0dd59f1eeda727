package practice

import "embed"

//go:embed harbour-hall.house.yaml
var house []byte

//go:embed harbour-hall.map.yaml
var mapFile []byte

// House is harbour-hall.house.yaml: the house file of the demo, whose roster is
// the practice desk's. The caller may change the bytes.
func House() []byte { return append([]byte(nil), house...) }

// MapFile is harbour-hall.map.yaml: the map of the demo desk's dialect. The
// caller may change the bytes.
func MapFile() []byte { return append([]byte(nil), mapFile...) }

//go:embed maps/*.map.yaml
var maps embed.FS

// mapNamed is the map of a dialect that comes with the desk.
func mapNamed(dialect string) []byte {
	b, err := maps.ReadFile("maps/" + dialect + ".map.yaml")
	if err != nil {
		panic("practice desk: " + err.Error())
	}
	return b
}
