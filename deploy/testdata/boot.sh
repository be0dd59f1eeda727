#!/usr/bin/env bash
# Runs as root inside the small machine that TestMachine boots, with Pawl's package just
# installed: a life of it, from the first start to the purge, by the commands of INSTALL.md.
# /packages/first and /packages/later have a package each. It ends at the first thing that
# is not as it should be.
set -Eeuo pipefail
trap 'echo "FAILED at line $LINENO: $BASH_COMMAND"; systemctl status pawl --no-pager || true; journalctl -u pawl --no-pager -o cat | tail -40' ERR
export DEBIAN_FRONTEND=noninteractive
printf 'Dpkg::Options {"--force-confdef"; "--force-confold";};\nAPT::Get::Assume-Yes "true";\n' >/etc/apt/apt.conf.d/test
house=/etc/pawl/house.yaml
examples=/usr/share/doc/pawl/examples

# The install page's reader is no root, and we are.
sudo() { "$@"; }
# page runs a command of INSTALL.md, exactly as it stands there; TestInstallPage reads these lines.
page() { eval "$1"; }
is() { [ "$1" = "$2" ] || { echo "got $1, want $2"; return 1; }; }
shows() { systemctl show pawl -P "$1"; }
owner() { stat -c %u "$1"; }
# said waits until the journal has a text since the machine was booted; whoever booted it ends a
# wait that is in vain.
said() { grep -q -m1 -- "$1" < <(journalctl -u pawl -o cat -f -n all || true); }
alive() { # waits for the page
  until
    exec 3<>/dev/tcp/127.0.0.1/10780 &&
      printf 'GET /healthz HTTP/1.0\r\nHost: 127.0.0.1:10780\r\n\r\n' >&3 && grep -q '^alive' <&3
  do :; done 2>/dev/null
}
# ask is a tablet in the network: METHOD PATH BODY, with what it has in $cookie.
crlf=$'\r\n' cookie=
ask() {
  exec 4<>/dev/tcp/192.0.2.20/10780
  printf '%s %s HTTP/1.0\r\nHost: 192.0.2.20:10780\r\n%sContent-Type: application/json\r\nContent-Length: %d\r\n\r\n%s' \
    "$1" "$2" "${cookie:+Cookie: $cookie$crlf}" "${#3}" "$3" >&4
  tr -d '\r' <&4
}
answers() { is "$(ask GET "$1" "" | sed -n '1s/^HTTP[^ ]* //p')" "$2"; }
# pair has a tablet type the code that stands in a file.
pair() {
  local code
  code=$(grep -oE '^ +[A-Z2-7]{4}-[A-Z2-7]{4}$' "$1" | tr -d ' ')
  cookie=
  cookie=$(ask POST /api/pair "{\"code\":\"$code\"}" | sed -n 's/^Set-Cookie: \([^;]*\);.*/\1/p')
  [ -n "$cookie" ]
}
stop_pawl() { # as Ctrl-C does: all that is called so
  local comm
  for comm in /proc/[0-9]*/comm; do
    if [ "$(cat "$comm" 2>/dev/null)" = pawl ]; then kill -INT "$(cut -d/ -f3 <<<"$comm")"; fi
  done
}
made() { cat /etc/pawl/house.yaml /etc/pawl/harbour-hall.map.yaml /etc/pawl/options | sha256sum; }

# Nobody starts it as often within ten seconds.
mkdir -p /run/systemd/system/pawl.service.d
printf '[Unit]\nStartLimitIntervalSec=0\n' >/run/systemd/system/pawl.service.d/test.conf
systemctl daemon-reload

echo "== a fresh package waits for a house file, and is no failure"
is "$(systemctl is-enabled pawl)" enabled
is "$(shows ActiveState)" inactive
is "$(shows ConditionResult)" no
page 'dpkg --print-architecture'
page 'hostname -I'
ip address add 192.0.2.20/24 dev lo # where a tablet comes from

echo "== the first hour opens its page"
page 'sudo pawl start /etc/pawl/house.yaml --files-only --page :10780 && sudo systemctl start pawl' 2>/tmp/first & first=$!
until grep -q '^It may do everything' /tmp/first; do :; done
alive
answers /api/first '401 Unauthorized'
pair /tmp/first
answers /api/first '200 OK'
first_tablet=$cookie
stop_pawl
wait $first # a start without a house file is skipped, and no failure either
is "$(shows ActiveState)" inactive
[ ! -e $house ]

echo "== with a house file it watches"
sed 's/^page: .*/page: {listen: ":10780"}/' $examples/harbour-hall.house.yaml >$house
grep -q '^page: {listen: ":10780"}' $house
cp $examples/harbour-hall.map.yaml /etc/pawl/
perl -MIO::Socket::INET -e '
  $| = 1;
  my $s = IO::Socket::INET->new(Proto => "udp", LocalAddr => "127.0.0.1", LocalPort => 10700) or die $!;
  print "ready\n";
  while (my $from = $s->recv(my $asked, 1500)) { $s->send("/nothing\0\0\0\0,\0\0\0", 0, $from) }
' >/tmp/desk & desk=$!
until grep -q ready /tmp/desk; do :; done
systemctl start pawl
is "$(shows ActiveState)" active
page 'systemctl status pawl --no-pager'
page 'sudo journalctl -u pawl -n 30 --no-pager'
page 'pawl version'
[ "$(owner "/proc/$(shows MainPID)")" -ge 60000 ]
alive
said '"state":"hearing"' # it asked, and was answered
is "$(stat -c %a /var/lib/private/pawl)" 750
until [ -s /var/lib/pawl/house.record ]; do :; done
[ "$(owner /var/lib/pawl/house.record)" -ge 60000 ]

echo "== the tablet of the first hour is known, and another gets a key"
said '^Other screens open http://192.0.2.20:10780/ ' # and has the right to know
cookie=$first_tablet
answers /api/state '200 OK'
ask GET /api/keys '' | grep -q '"local":false'
page 'sudo pawl keys /etc/pawl/house.yaml --invite watch' >/tmp/invited
pair /tmp/invited
answers /api/state '200 OK'
answers /api/setup '403 Forbidden'
key=$(page 'sudo pawl keys /etc/pawl/house.yaml' | awk '$2 == "watch" {print $1}')
pawl keys $house --revoke "$key"
answers /api/state '401 Unauthorized'
cookie=$first_tablet
answers /api/state '200 OK'

echo "== a reload reads the house file again"
pid=$(shows MainPID)
sed -i 's/^house: .*/house: Barn Hall/' $house
page 'pawl check /etc/pawl/house.yaml'
page 'sudo systemctl reload pawl'
said 'house file read again: the mark and the card begin anew'
is "$(shows MainPID)" "$pid"

echo "== a house file with a fault is not taken, and watching goes on"
cp $house /tmp/good
echo 'nothing: of the kind' >>$house
systemctl reload pawl
said 'the old house file stays in force'
is "$(shows MainPID)" "$pid"
alive

echo "== started with a fault it fails, and says which line it is"
if page 'sudo systemctl restart pawl'; then false; fi
said '^/etc/pawl/house.yaml:[0-9]*:1: .*nothing'
cp /tmp/good $house
page 'sudo systemctl restart pawl'
is "$(shows ActiveState)" active

echo "== what arrives can be looked at"
page 'sudo systemctl stop pawl'
page 'pawl listen --port 10701' >/dev/null 2>/tmp/listen & listen=$!
until [ -s /tmp/listen ]; do :; done
stop_pawl
wait $listen || true
page 'sudo systemctl start pawl'

echo "== a copy of all, and back from it"
cd "$(mktemp -d)"
page 'sudo pawl review --list --house /etc/pawl/house.yaml'
page 'sudo pawl review --backup pawl-copy.record --house /etc/pawl/house.yaml'
page 'sudo cp -r /etc/pawl pawl-files'
before=$(made)
echo 'house: spoilt' >$house
page 'sudo systemctl stop pawl'
rm -rf /var/lib/private/pawl /var/lib/pawl
mkdir -m 0750 /var/lib/pawl # as the package does on a new computer
page 'sudo cp pawl-files/* /etc/pawl/'
page 'sudo rm -f /var/lib/pawl/house.record*'
page 'sudo cp pawl-copy.record /var/lib/pawl/house.record'
page 'sudo chown --reference=/var/lib/pawl/. /var/lib/pawl/house.record'
page 'sudo systemctl start pawl'
is "$(made)" "$before"
[ "$(owner /var/lib/pawl/house.record)" -ge 60000 ]
if journalctl -u pawl -o cat | grep 'the record cannot be written'; then false; fi
answers /api/state '401 Unauthorized' # the keys are not in the copy
page 'sudo pawl keys /etc/pawl/house.yaml --invite watch' >/tmp/invited
pair /tmp/invited # of a file that root has just made for the service
answers /api/state '200 OK'

echo "== an upgrade goes on with the house file, the options and the record"
sed -i 's/^PAWL_OPTIONS=.*/PAWL_OPTIONS=--log-level warn/' /etc/pawl/options
before=$(made)
pid=$(shows MainPID)
cd /packages/later
page 'sudo apt install ./pawl_*.deb'
is "$(dpkg-query -W -f '${Version}' pawl)" "$(dpkg-deb -f pawl_*.deb Version)"
is "$(made)" "$before"
is "$(shows ActiveState)" active
[ "$(shows MainPID)" != "$pid" ]
tr '\0' ' ' <"/proc/$(shows MainPID)/cmdline" | grep -q -- '--log-level warn'
[ -s /var/lib/pawl/house.record ]

echo "== somebody who disabled it is not overruled"
systemctl disable --now pawl
dpkg -i pawl_*.deb
is "$(systemctl is-enabled pawl || true)" disabled
is "$(shows ActiveState)" inactive
systemctl enable --now pawl

echo "== removed, it stops, and what people made stays"
page 'sudo apt remove pawl'
is "$(shows ActiveState)" inactive
[ ! -e /usr/bin/pawl ]
is "$(made)" "$before"
[ -s /var/lib/private/pawl/house.record ]

echo "== installed again, it watches as before"
page 'sudo apt install ./pawl_*.deb'
is "$(shows ActiveState)" active
is "$(made)" "$before"

echo "== the first hour anew"
page 'sudo systemctl stop pawl'
touch /etc/pawl/desk.map.yaml
page 'sudo mv /etc/pawl/house.yaml /etc/pawl/desk.map.yaml /root/'
systemctl start pawl
is "$(shows ActiveState)" inactive
cp /root/house.yaml $house
systemctl start pawl

echo "== purged, nothing of it is left"
page 'sudo apt purge pawl'
kill $desk
left=$(find / -xdev \( -path /packages -o -path /proc -o -path /sys -o -path /tmp -o -path '/sys*' \) -prune -o -iname '*pawl*' -print)
is "$left" ""
if grep pawl /etc/passwd; then false; fi
echo PASSED
