package link

import "testing"

func TestParseTarget(t *testing.T) {
	tests := []struct {
		in    string
		host  string
		port  uint16
		named bool
		err   string
	}{
		{in: "192.0.2.10:10700", host: "192.0.2.10", port: 10700},
		{in: "[2001:db8::10]:10700", host: "2001:db8::10", port: 10700},
		{in: "desk.example:1", host: "desk.example", port: 1, named: true},
		{in: "192.0.2.10", err: `the desk's address "192.0.2.10"; want host:port, as in 192.0.2.10:10700`},
		{in: ":10700", err: `the desk's address ":10700"; want host:port, as in 192.0.2.10:10700`},
		{in: "desk.example:0", err: `the desk's port "0"; want a number from 1 to 65535`},
		{in: "desk.example:65536", err: `the desk's port "65536"; want a number from 1 to 65535`},
		{in: "desk.example:osc", err: `the desk's port "osc"; want a number from 1 to 65535`},
		{in: "255.255.255.255:1", err: `the desk's address "255.255.255.255:1" is no one machine's; want the desk's own, as in 192.0.2.10:10700`},
		{in: "239.1.2.3:1", err: `the desk's address "239.1.2.3:1" is no one machine's; want the desk's own, as in 192.0.2.10:10700`},
		{in: "[::ffff:239.1.2.3]:1", err: `the desk's address "[::ffff:239.1.2.3]:1" is no one machine's; want the desk's own, as in 192.0.2.10:10700`},
		{in: "[ff02::1]:1", err: `the desk's address "[ff02::1]:1" is no one machine's; want the desk's own, as in 192.0.2.10:10700`},
		{in: "0.0.0.0:1", err: `the desk's address "0.0.0.0:1" is no one machine's; want the desk's own, as in 192.0.2.10:10700`},
	}
	for _, tt := range tests {
		t.Run(tt.in, func(t *testing.T) {
			got, err := parseTarget(tt.in)
			if tt.err != "" {
				if err == nil || err.Error() != tt.err {
					t.Errorf("got %v, want %s", err, tt.err)
				}
				return
			}
			if err != nil || got.host != tt.host || got.port != tt.port || got.named() != tt.named {
				t.Errorf("got %+v, %v; want %+v", got, err, tt)
			}
		})
	}
}
