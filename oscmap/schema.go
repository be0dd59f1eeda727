package oscmap

import "pawl/oscmap/sheet"

// Schema is a JSON Schema of maps, for editors that complete and underline. It
// is made from the types that Load reads into, and sees shapes, words and
// units; whether the parts of a map agree with each other, only Load sees.
func Schema() []byte { return sheet.Schema("Pawl address map", file{}) }
