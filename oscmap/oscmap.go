// Package oscmap turns what a desk says into readings, by a map that the
// installer wrote.
//
// No two desks speak the same OSC. The map is the file in which the installer
// writes one desk's dialect down: which address carries which signal, where in
// the message the number stands, and what the number means. Load checks the
// file as strictly as a compiler checks a program, reporting every fault at
// once with its line, and makes of it a table that turns a message into
// readings without allocating.
//
// The map also holds the complete list of what Pawl may ever send: its asks.
// Nothing outside this package can make one.
//
// The package is given bytes and gives back values. It opens no file, no socket
// and reads no clock.
package oscmap
