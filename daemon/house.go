package daemon

import (
	"errors"
	"fmt"
	"io/fs"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"

	"pawl/daemon/link"
	"pawl/oscmap"
	"pawl/oscmap/sheet"
	"pawl/rules"
	"pawl/rules/desk"
)

// House is a house file and its map, checked and ready to run on. Make one with
// LoadHouse; it is not changed afterwards.
type House struct {
	File   string // as it was named, for messages
	onDisk bool   // and is there to be read again
	source string // every byte of the files it was made of

	mapText string     // every byte of the map
	opened  *link.Link // already opened for this house, or nil
	Name    string     // of the place

	Desk    string // host:port that the asks go to
	Listen  string // local address of the desk's socket; "" for any port
	AnyPort bool   // believe the desk's host whatever port it sends from

	Map    *oscmap.Map
	Roster desk.Roster
	Limits rules.Limits

	Page      string   // host:port that the page is served at
	PageNames []string // host names besides addresses by which tablets may ask for it
}

// houseSheet is a house file as it is written.
type houseSheet struct {
	House  string                 `yaml:"house" jsonschema:"required" doc:"What the place is called on the screens."`
	Desk   deskSheet              `yaml:"desk" jsonschema:"required" doc:"Where the desk is and which map it speaks by."`
	Roster rosterSheet            `yaml:"roster" jsonschema:"required" doc:"Who is on the desk, by its own numbers."`
	Limits sheet.At[rules.Limits] `yaml:"limits" doc:"When something is said. Every limit has a default."`
	Page   pageSheet              `yaml:"page" doc:"Where the page is served."`
}

type deskSheet struct {
	Address sheet.At[string] `yaml:"address" jsonschema:"required" doc:"The desk's host and port, 192.0.2.10:10700; the port may be left to the map."`
	Map     sheet.At[string] `yaml:"map" jsonschema:"required" doc:"The map's file, beside the house file unless it is an absolute path."`
	Listen  sheet.At[string] `yaml:"listen" doc:"The local address to hear the desk at, for a desk that always sends to one port: :10701."`
	AnyPort bool             `yaml:"any-port" doc:"Believe the desk's host whatever port it sends from."`
}

type pageSheet struct {
	Listen sheet.At[string] `yaml:"listen" doc:"The local address of the page. 127.0.0.1:10780 is this machine only; :10780 is every tablet on the network."`
	Names  []string         `yaml:"names" doc:"Host names by which tablets may ask for the page, besides addresses."`
}

// DefaultPage is where the page is when the house file does not say: on this
// machine only, because a page that anyone on the network can reach is a choice.
const DefaultPage = "127.0.0.1:10780"

// LoadHouse reads a house file and the map it names. The House is nil if the
// faults are Wrong; otherwise they are advice at most.
func LoadHouse(file string) (*House, sheet.Faults) {
	h, faults := loadHouse(file, readPlain)
	if h != nil {
		h.onDisk = true
	}
	return h, faults
}

// readFile is os.ReadFile, or something that answers like it.
type readFile func(name string) ([]byte, error)

func loadHouse(file string, read readFile) (*House, sheet.Faults) {
	var source strings.Builder
	read = noting(&source, read)
	src, err := read(file)
	if err != nil {
		return nil, sheet.Faults{unreadable(file, err)}
	}
	s := houseSheet{Limits: sheet.At[rules.Limits]{V: rules.DefaultLimits()}}
	s.Page.Listen.V = DefaultPage
	faults := sheet.Decode(file, src, &s)
	roster, more := s.Roster.compile()
	faults = append(faults, elsewhere(more, faults)...)
	faults = append(faults, s.checkPlaces()...)
	faults = append(faults, s.checkLimits()...)
	beforeMap := source.Len()
	m, more := s.loadMap(file, read, roster)
	faults = append(faults, more...)
	if m != nil && !m.HearsSignal(desk.InputLevel) {
		faults = append(faults, s.Desk.Map.Place.Advise("a map that also hears input.level can tell who made it louder",
			"the map hears no input's level, so every open input will count as equally loud"))
	}
	faults.Sort()
	if faults.Wrong() {
		return nil, faults
	}
	return &House{
		File: file, Name: s.House, Desk: s.deskAddress(m), Listen: s.listen(m), AnyPort: s.Desk.AnyPort,
		source: source.String(), mapText: source.String()[beforeMap:], Map: m, Roster: roster, Limits: s.Limits.V, Page: s.Page.Listen.V, PageNames: s.Page.Names,
	}, faults
}

// elsewhere drops checks of a value that could not be read in the first place.
func elsewhere(checks, said sheet.Faults) sheet.Faults {
	return slices.DeleteFunc(checks, func(c sheet.Fault) bool {
		return slices.ContainsFunc(said, func(f sheet.Fault) bool { return f.Line == c.Line && f.Col == c.Col })
	})
}

// noting keeps a copy of every file that is read.
func noting(into *strings.Builder, read readFile) readFile {
	return func(name string) ([]byte, error) {
		b, err := read(name)
		into.Write(b)
		return b, err
	}
}

// readPlain reads an ordinary file of a size that a person writes. A pipe or a
// device might never end.
func readPlain(name string) ([]byte, error) {
	switch info, err := os.Stat(name); {
	case err != nil:
		return nil, err
	case !info.Mode().IsRegular():
		return nil, errors.New("it is not an ordinary file")
	case info.Size() > sheet.MaxBytes:
		return nil, fmt.Errorf("it has %d bytes; want at most %d", info.Size(), sheet.MaxBytes)
	}
	return os.ReadFile(name)
}

func (s *houseSheet) loadMap(file string, read readFile, roster desk.Roster) (*oscmap.Map, sheet.Faults) {
	if s.Desk.Map.V == "" {
		return nil, nil
	}
	path := s.Desk.Map.V
	if !filepath.IsAbs(path) {
		path = filepath.Join(filepath.Dir(file), path)
	}
	src, err := read(path)
	if err != nil {
		return nil, sheet.Faults{s.Desk.Map.Place.Wrong("the path is taken from the house file's own folder",
			"cannot read the map %q: %v", s.Desk.Map.V, plain(err))}
	}
	return oscmap.Load(path, src, &roster, needs()...)
}

// needs tells the map which rules will be silent without which signals.
func needs() []oscmap.Need {
	var out []oscmap.Need
	for _, k := range rules.Kinds {
		out = append(out, oscmap.Need{Rule: k.Name, Signals: k.Needs, Why: k.Summary})
	}
	return out
}

func (s *houseSheet) checkPlaces() sheet.Faults {
	var faults sheet.Faults
	if a := s.Desk.Address; a.Written() {
		if host, port := splitAddress(a.V); !validHost(host) || port != "" && !validPort(port) {
			faults = append(faults, a.Place.Wrong("write the desk's address on the network, as 192.0.2.10:10700",
				"%q is no host and port", a.V))
		}
	}
	for _, own := range []struct {
		at   sheet.At[string]
		hint string
	}{
		{s.Desk.Listen, "write the port that the desk sends to, as :10701"},
		{s.Page.Listen, "write it as 127.0.0.1:10780 for this machine only, or :10780 for every tablet on the network"},
	} {
		host, port, err := net.SplitHostPort(own.at.V)
		if own.at.Written() && (err != nil || host != "" && !validHost(host) || port != "0" && !validPort(port)) {
			faults = append(faults, own.at.Place.Wrong(own.hint, "%q is no address and port to listen at", own.at.V))
		}
	}
	return faults
}

// hostName is a name as RFC 1123 has it: letters, digits and hyphens between dots,
// the last part not all digits, or it would be a mistyped address.
var hostName = regexp.MustCompile(`^([0-9A-Za-z]([0-9A-Za-z-]*[0-9A-Za-z])?\.)*([0-9A-Za-z-]*[A-Za-z][0-9A-Za-z-]*)\.?$`)

func validHost(host string) bool {
	_, err := netip.ParseAddr(host)
	return err == nil || len(host) <= 253 && hostName.MatchString(host)
}

func (s *houseSheet) deskAddress(m *oscmap.Map) string {
	host, port := splitAddress(s.Desk.Address.V)
	if port == "" {
		port = strconv.Itoa(m.Link().DeskPort)
	}
	return net.JoinHostPort(host, port)
}

func (s *houseSheet) listen(m *oscmap.Map) string {
	if !s.Desk.Listen.Written() && m.Link().ListenPort != 0 {
		return fmt.Sprintf(":%d", m.Link().ListenPort)
	}
	return s.Desk.Listen.V
}

// splitAddress takes host:port or a host alone.
func splitAddress(a string) (host, port string) {
	if host, port, err := net.SplitHostPort(a); err == nil {
		return host, port
	}
	return a, ""
}

func validPort(s string) bool {
	n, err := strconv.Atoi(s)
	return err == nil && n > 0 && n < 65536
}

func unreadable(file string, err error) sheet.Fault {
	f := sheet.Fault{File: file, Line: 1, Col: 1, Text: fmt.Sprintf("cannot read the file: %v", plain(err))}
	if errors.Is(err, fs.ErrNotExist) {
		f.Hint = "`pawl demo` needs no file; README.md shows a first house file to begin with"
	}
	return f
}

// plain is the reason of a file error without the path, which is already said.
func plain(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// HouseSchema is a JSON Schema of the house file, for editors.
func HouseSchema() []byte { return sheet.Schema("Pawl house file", houseSheet{}) }

// CheckFile checks a house file with its map, or a map alone, and tells which it
// was. A file is taken for a map if it has signals or a link.
func CheckFile(file string) (what string, faults sheet.Faults) {
	src, err := readPlain(file)
	if err != nil {
		return "file", sheet.Faults{unreadable(file, err)}
	}
	var top map[string]yaml.Node
	if yaml.Unmarshal(src, &top) == nil {
		_, signals := top["signals"]
		_, link := top["link"]
		if signals || link {
			_, faults = oscmap.Load(file, src, nil, needs()...)
			return "map", faults
		}
	}
	_, faults = LoadHouse(file)
	return "house", faults
}
