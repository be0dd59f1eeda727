// Package house reads a house file, which says where the desk is and who is on
// which input, together with the map that it names. What comes out is checked and
// ready to run on. It opens no socket and asks nobody anything but the two files.
package house

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

	"pawl/daemon/disks"
	"pawl/oscmap"
	"pawl/oscmap/sheet"
	"pawl/rules"
	"pawl/rules/desk"
	"pawl/rules/words"
)

// House is a house file and its map, checked and ready to run on. Make one with
// Load; nothing in this package changes it afterwards.
type House struct {
	File string // as it was named, for messages
	Name string // of the place

	onDisk        bool // and is there to be read again
	text, mapText string

	Desk    string // host:port that the asks go to
	Listen  string // local address of the desk's socket; "" for any port
	AnyPort bool   // believe the desk's host whatever port it sends from

	Map    *oscmap.Map
	Roster desk.Roster
	Order  desk.Order // the running order; nil if the house has none
	Limits rules.Limits

	Language  string   // of the page and of what is printed, a BCP 47 tag; "" for the default
	Page      string   // host:port that the page is served at
	PageNames []string // host names besides addresses by which tablets may ask for it
	Keys      string   // file of the keys of screens elsewhere; "" if the house file names none
	TLS       TLS      // by which the page is served

	Record Record
}

// houseSheet is a house file as it is written.
type houseSheet struct {
	House  string                 `yaml:"house" jsonschema:"required" doc:"What the place is called on the screens."`
	Desk   deskSheet              `yaml:"desk" jsonschema:"required" doc:"Where the desk is and which map it speaks by."`
	Roster rosterSheet            `yaml:"roster" jsonschema:"required" doc:"Who is on the desk, by its own numbers."`
	Order  []partSheet            `yaml:"order" doc:"The running order: the parts of the service, in the order in which they come."`
	Limits sheet.At[rules.Limits] `yaml:"limits" doc:"When something is said. Every limit has a default."`
	Page   pageSheet              `yaml:"page" doc:"Where the page is served."`
	Record recordSheet            `yaml:"record" doc:"The record of services: where it is kept, and how much of it."`
}

type deskSheet struct {
	Address sheet.At[string] `yaml:"address" jsonschema:"required" doc:"The desk's host and port, 192.0.2.10:10700; the port may be left out, and is then the map's desk-port."`
	Map     sheet.At[string] `yaml:"map" jsonschema:"required" doc:"The map's file, beside the house file unless it is an absolute path."`
	Listen  sheet.At[string] `yaml:"listen" doc:"The local address to hear the desk at, for a desk that always sends to one port: :10701. If it is left out, the map's listen-port, or else any free port."`
	AnyPort bool             `yaml:"any-port" doc:"Believe the desk's host whatever port it sends from."`
}

type pageSheet struct {
	Listen   sheet.At[string] `yaml:"listen" doc:"The local address of the page. 127.0.0.1:10780 is this machine only; :10780 is every tablet on the network."`
	Language sheet.At[string] `yaml:"language" doc:"The language of whoever chooses none, by its BCP 47 tag, such as es; if it is left out, en."`
	Names    []string         `yaml:"names" doc:"Host names by which tablets may ask for the page, besides addresses."`
	Keys     sheet.At[string] `yaml:"keys" doc:"The file of the keys of other screens than this machine's, beside the house file unless it is an absolute path. If it is left out, where systemd keeps what a service writes, or else beside the house file under its name: hall.keys."`
	TLS      tlsSheet         `yaml:"tls" doc:"Serves the page by TLS, as https. If it is left out, whoever listens in the network can read it along, keys too."`
}

type tlsSheet struct {
	Own         sheet.At[bool]   `yaml:"own" doc:"By a certificate that Pawl makes for itself, beside the keys, and prints the fingerprint of. Browsers warn of it once."`
	Certificate sheet.At[string] `yaml:"certificate" doc:"A file with a certificate and those that signed it, as PEM, beside the house file unless it is an absolute path."`
	PrivateKey  sheet.At[string] `yaml:"private-key" doc:"The file with its private key, as PEM."`
}

// TLS says by which certificate the page is served; the zero value is without.
type TLS struct {
	Own                     bool   // one that Pawl makes for itself
	Certificate, PrivateKey string // files of another one, or ""
}

// Used is whether the page is served by TLS at all.
func (t TLS) Used() bool { return t.Own || t.Certificate != "" }

func (s *tlsSheet) compile(houseFile string) TLS {
	return TLS{s.Own.V, beside(houseFile, s.Certificate.V), beside(houseFile, s.PrivateKey.V)}
}

func (s *tlsSheet) check() (faults sheet.Faults) {
	switch given, key := s.Certificate, s.PrivateKey; {
	case s.Own.V && given.Written():
		faults = append(faults, given.Place.Wrong("leave one of the two out", "own: yes makes a certificate, and another is named here"))
	case given.Written() && !key.Written():
		faults = append(faults, given.Place.Wrong("name the file with its private key too, as private-key", "a certificate without its private key"))
	case key.Written() && !given.Written():
		faults = append(faults, key.Place.Wrong("name the file with the certificate too, as certificate", "a private key without its certificate"))
	}
	return faults
}

// defaultPage is where the page is when the house file does not say: on this
// machine only, because a page that anyone on the network can reach is a choice.
const defaultPage = "127.0.0.1:10780"

// defaultSheet is a house file as it stands before anything is written in it.
func defaultSheet() houseSheet {
	s := houseSheet{Limits: sheet.At[rules.Limits]{V: rules.DefaultLimits()}}
	s.Page.Listen.V = defaultPage
	return s
}

// Load reads a house file and the map it names. The House is nil if the faults are
// Wrong; otherwise they are advice at most.
func Load(file string) (*House, sheet.Faults) {
	h, faults := load(file, ReadFile)
	if h != nil {
		h.onDisk = true
	}
	return h, faults
}

// Files are house files and maps that are on no disk, by their names without a
// folder: those inside the program, and those of tests.
type Files map[string]string

// Load is the function Load for files that are here.
func (f Files) Load(file string) (*House, sheet.Faults) {
	return load(file, func(name string) ([]byte, error) {
		if text, ok := f[filepath.Base(name)]; ok {
			return []byte(text), nil
		}
		return nil, fs.ErrNotExist
	})
}

// Of reads a house file and its map from their texts, as a record keeps them. The file
// is for messages only.
func Of(file, text, mapText string) (*House, sheet.Faults) {
	read := false
	return load(file, func(string) ([]byte, error) {
		if !read { // the house file is first
			read = true
			return []byte(text), nil
		}
		return []byte(mapText), nil
	})
}

// readFile is os.ReadFile, or something that answers like it.
type readFile func(name string) ([]byte, error)

func load(file string, read readFile) (*House, sheet.Faults) {
	src, err := read(file)
	if err != nil {
		return nil, sheet.Faults{unreadable(file, err)}
	}
	s := defaultSheet()
	faults := sheet.Decode(file, src, &s)
	roster, more := s.Roster.compile() // before the map, which may speak of strips by name
	faults = append(faults, elsewhere(more, faults)...)
	order, more := s.compileOrder(roster)
	faults = append(faults, elsewhere(more, faults)...)
	faults = append(faults, s.checkPlaces()...)
	faults = append(faults, s.Record.check()...)
	faults = append(faults, s.Page.TLS.check()...)
	faults = append(faults, wrongLimits(s.Limits, file, src)...)
	m, mapText, more := s.loadMap(file, read, roster)
	faults = append(faults, more...)
	faults = append(faults, s.adviseScenes(m)...)
	if _, port := SplitAddress(s.Desk.Address.V); m != nil && s.Desk.Address.V != "" && port == "" && m.Link().DeskPort == 0 {
		faults = append(faults, s.Desk.Address.Place.Wrong("write it behind the address, as 192.0.2.10:10700, or as link.desk-port in the map",
			"no port: neither this address nor the map says where the desk listens"))
	}
	if m != nil && !m.Judges(desk.InputLevel) {
		faults = append(faults, s.Desk.Map.Place.Advise("a map that also hears input.level can tell who made it louder",
			"the map hears no input's level, so every open input will count as equally loud"))
	}
	faults.Sort()
	if faults.Wrong() {
		return nil, faults
	}
	return &House{
		File: file, Name: s.House, Desk: s.deskAddress(m), Listen: s.listen(m), AnyPort: s.Desk.AnyPort,
		text: string(src), mapText: mapText, Map: m, Roster: roster, Order: order, Limits: s.Limits.V, Language: s.Page.Language.V, Page: s.Page.Listen.V, PageNames: s.Page.Names,
		Keys: beside(file, s.Page.Keys.V), TLS: s.Page.TLS.compile(file), Record: s.Record.compile(file),
	}, faults
}

// elsewhere drops checks of a value that could not be read in the first place.
func elsewhere(checks, said sheet.Faults) sheet.Faults {
	return slices.DeleteFunc(checks, func(c sheet.Fault) bool {
		return slices.ContainsFunc(said, func(f sheet.Fault) bool { return f.Line == c.Line && f.Col == c.Col })
	})
}

// OnDisk reports whether the files are there to be read again. Those inside the
// program are not.
func (h *House) OnDisk() bool { return h.onDisk }

// Text is every byte of the house file.
func (h *House) Text() string { return h.text }

// MapText is every byte of the map's file.
func (h *House) MapText() string { return h.mapText }

// Same reports whether another house was made of the very same files.
func (h *House) Same(o *House) bool { return h.text == o.text && h.mapText == o.mapText }

// SameLink reports whether another house hears the same desk in the same way, so
// that the link may run on and what is known of the desk stays true.
func (h *House) SameLink(o *House) bool {
	return h.Desk == o.Desk && h.Listen == o.Listen && h.AnyPort == o.AnyPort && h.mapText == o.mapText
}

// ReadFile reads an ordinary file of a size that a person writes. A pipe or a
// device might never end. The error does not name the file.
func ReadFile(name string) ([]byte, error) {
	switch info, err := os.Stat(name); {
	case err != nil:
		return nil, withoutPath(err)
	case !info.Mode().IsRegular():
		return nil, errors.New("it is not an ordinary file")
	case info.Size() > sheet.MaxBytes:
		return nil, fmt.Errorf("it has %d bytes; want at most %d", info.Size(), sheet.MaxBytes)
	}
	b, err := os.ReadFile(name)
	return b, withoutPath(err)
}

func (s *houseSheet) loadMap(file string, read readFile, roster desk.Roster) (m *oscmap.Map, text string, faults sheet.Faults) {
	if s.Desk.Map.V == "" {
		return nil, "", nil
	}
	path := s.Desk.Map.V
	if !filepath.IsAbs(path) {
		path = filepath.Join(filepath.Dir(file), path)
	}
	src, err := read(path)
	if err != nil {
		return nil, "", sheet.Faults{s.Desk.Map.Place.Wrong("the path is taken from the house file's own folder",
			"cannot read the map %q: %s", s.Desk.Map.V, disks.Plain(err))}
	}
	m, faults = oscmap.Load(path, src, &roster, needsOf(roster)...)
	return m, string(src), faults
}

// Needs tells a map which rules will be silent without which signals.
func Needs() []oscmap.Need {
	var out []oscmap.Need
	for _, k := range rules.Kinds {
		if !k.Seldom {
			out = append(out, oscmap.Need{Rule: k.Name, Signals: k.Needs, Or: k.Or, Helped: k.Helped, Compares: k.Compares, Why: k.Summary})
		}
	}
	return out
}

// needsOf leaves out what a house without groups cannot miss.
func needsOf(r desk.Roster) []oscmap.Need {
	ofGroups := func(s desk.Signal) bool { return s.Of() == desk.StripGroup }
	return slices.DeleteFunc(Needs(), func(n oscmap.Need) bool {
		return len(r.Groups) == 0 && slices.ContainsFunc(n.Signals, ofGroups)
	})
}

func (s *houseSheet) checkPlaces() sheet.Faults {
	var faults sheet.Faults
	if a := s.Desk.Address; a.Written() {
		if host, port := SplitAddress(a.V); !validHost(host) || port != "" && !validPort(port) {
			faults = append(faults, a.Place.Wrong("write the desk's address on the network, as 192.0.2.10:10700",
				"%q is no host and port", a.V))
		} else if ip, err := netip.ParseAddr(host); err == nil && !oscmap.OneMachine(ip.Unmap()) {
			faults = append(faults, a.Place.Wrong("write the desk's own address on the network, as 192.0.2.10:10700",
				"%q is no one machine's address, and Pawl asks nobody but the desk", a.V))
		}
	}
	if l := s.Page.Language; l.Written() && !words.Own().Has(l.V) {
		faults = append(faults, l.Place.Wrong("a language is a file in rules/words; DEVELOPERS.md says how to add one",
			"Pawl does not speak %q; want one of %s", l.V, words.Own()))
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
	host, port := SplitAddress(s.Desk.Address.V)
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

// SplitAddress takes host:port, or a host alone, of which the port is "".
func SplitAddress(a string) (host, port string) {
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
	f := sheet.Fault{File: file, Line: 1, Col: 1, Text: "cannot read the file: " + disks.Plain(err)}
	if errors.Is(err, fs.ErrNotExist) {
		f.Hint = "`pawl demo` needs no file; README.md shows a first house file to begin with"
	}
	return f
}

// withoutPath is the reason of a file error without the path, which is said already.
func withoutPath(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// Schema is a JSON Schema of the house file, for editors.
func Schema() []byte { return sheet.Schema("Pawl house file", houseSheet{}) }

// Check checks a house file with its map, or a map alone, and tells which it
// was. A file is taken for a map if it has signals or a link.
func Check(file string) (what string, faults sheet.Faults) {
	src, err := ReadFile(file)
	if err != nil {
		return "file", sheet.Faults{unreadable(file, err)}
	}
	if top := sheet.TopKeys(src); slices.Contains(top, "signals") || slices.Contains(top, "link") {
		_, faults = oscmap.Load(file, src, nil, Needs()...)
		return "map", faults
	}
	_, faults = Load(file)
	return "house", faults
}
