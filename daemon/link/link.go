// Package link is Pawl's one connection to the desk.
//
// It opens the socket, sends the asks that the map lists and nothing else, and
// hands on every packet from the desk with the time it arrived. It knows which
// sender to believe, notices when the desk falls silent or comes back, and says
// all of this in a Status. It does not look inside a packet.
package link
