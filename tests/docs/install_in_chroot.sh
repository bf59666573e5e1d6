#!/bin/bash
# Runs deploy/install.sh in a Debian of its own: install, an upgrade that is killed and run again, the
# ways back, and removal. As root: tests/docs/install_in_chroot.sh [TREE]
# TREE is a bookworm made by debootstrap with python3-venv, ca-certificates and systemd; it is copied.
# Without one, it is made (two minutes). There is no systemd running in it, so nothing is started.
set -eu
root=$(cd "$(dirname "$0")/../.." && pwd)
work=$(mktemp -d /var/tmp/duskfold-install.XXXXXX)
debian=$work/debian

tidy_up() {
    for each in proc dev; do umount "$debian/$each" 2>/dev/null || true; done
    # Never through a mount that is still there.
    ! grep -q " $debian/" /proc/mounts || { echo "still mounted: $debian" >&2; exit 1; }
    rm -rf "$work"
}
trap tidy_up EXIT
trap 'exit 1' INT TERM

if [ $# -gt 0 ]; then cp -a "$1" "$debian"
else debootstrap --variant=minbase --include=python3-venv,ca-certificates,systemd bookworm "$debian" >/dev/null
fi
cp -L /etc/resolv.conf "$debian/etc/resolv.conf"
# A proxy's own authority, where there is one.
cp -L /etc/ssl/certs/ca-certificates.crt "$debian/etc/ssl/certs/ca-certificates.crt"
mount --bind /dev "$debian/dev"
mount -t proc proc "$debian/proc"
mkdir "$debian/src"
(cd "$root" && git ls-files -z --cached --others --exclude-standard -- pyproject.toml README.md LICENSE scheduler deploy |
    xargs -0 tar --create --file -) | tar --extract --file - --directory "$debian/src"

set_up="env -i PATH=/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin LANG=C.UTF-8 PIP_CERT=/etc/ssl/certs/ca-certificates.crt"
# shellcheck disable=SC2086 # several words
inside() { chroot "$debian" $set_up "$@"; }
script=/src/deploy/install.sh
is() { [ "$1" = "$2" ] || { echo "found: $1; expected: $2" >&2; exit 1; }; }
told() { grep -q -- "$1" "$work/said" || { cat "$work/said" >&2; echo "did not say: $1" >&2; exit 1; }; }
ends_with() {
    expected=$1 status=0
    shift
    "$@" >"$work/said" 2>&1 </dev/null || status=$?
    [ "$status" = "$expected" ] || { cat "$work/said" >&2; echo "$*: $status, not $expected" >&2; exit 1; }
    echo "ok: $* ($(($(date +%s) - began)) s)"
}
began=$(date +%s)

ends_with 2 inside sh $script upgrade
told "not installed yet"
ends_with 0 inside sh $script
told "not started"
is "$(readlink "$debian/opt/duskfold/current")" versions/1
is "$(readlink "$debian/etc/systemd/system/multi-user.target.wants/duskfold.service")" /etc/systemd/system/duskfold.service
is "$(inside stat -c '%U %a' /var/lib/duskfold)" "duskfold 700"
ends_with 0 inside sh $script
told "installed already"
is "$(ls "$debian/opt/duskfold/versions")" 1

# What a household says is kept by every step that follows.
cp "$root/config/annotated.toml" "$debian/var/lib/duskfold/duskfold.toml"
inside chown duskfold: /var/lib/duskfold/duskfold.toml
ends_with 0 inside duskfold eggs 5 --by robin

sed -i 's/^version = .*/version = "99.0"/' "$debian/src/pyproject.toml"
# shellcheck disable=SC2086 # several words
setsid chroot "$debian" $set_up sh $script upgrade >"$work/said" 2>&1 &
upgrade=$!
while [ ! -e "$debian/opt/duskfold/versions/2/bin/python" ]; do sleep 0.1; done
kill -KILL -- -$upgrade
wait $upgrade || true
[ ! -e "$debian/opt/duskfold/versions/2/complete" ]
is "$(readlink "$debian/opt/duskfold/current")" versions/1
is "$(inside duskfold --version | cut -d' ' -f2)" "$(sed -n 's/^version = "\(.*\)"/\1/p' "$root/pyproject.toml")"
ends_with 0 inside sh $script upgrade
told "Upgraded: duskfold 99.0"
is "$(find "$debian/var/backups/duskfold" -name "before-2-*" | wc -l)" 1
is "$(inside duskfold diary | grep -c '5 eggs')" 1

ends_with 0 inside duskfold eggs 4 --by robin
ends_with 0 inside sh $script rollback
is "$(readlink "$debian/opt/duskfold/current")" versions/1
is "$(inside duskfold diary | grep -c '[45] eggs')" 2
ends_with 2 inside sh $script rollback
told "no version before"

# Back to the newer one, whose journal the older one cannot read.
ln -sfn versions/2 "$debian/opt/duskfold/current"
inside /opt/duskfold/current/bin/python -c '
import sqlite3
with sqlite3.connect("/var/lib/duskfold/journal.sqlite3") as journal:
    journal.execute("UPDATE schema SET version = 900, min_reader = 900")
'
ends_with 1 inside sh $script rollback
told "rollback --with-data"
is "$(readlink "$debian/opt/duskfold/current")" versions/2
ends_with 0 inside sh $script rollback --with-data
is "$(readlink "$debian/opt/duskfold/current")" versions/1
is "$(inside duskfold diary | grep -c '[45] eggs')" 1
is "$(find "$debian/var/backups/duskfold" -name "after-2-*" | wc -l)" 2

ends_with 0 inside sh $script remove
told "Its data is still in"
[ ! -e "$debian/opt/duskfold" ] && [ ! -e "$debian/usr/local/bin/duskfold" ] && [ -f "$debian/var/lib/duskfold/duskfold.toml" ]
ends_with 0 inside sh $script remove --purge
[ ! -e "$debian/var/lib/duskfold" ] && [ ! -e "$debian/var/backups/duskfold" ]
is "$(inside id duskfold 2>/dev/null || echo gone)" gone
ends_with 0 inside sh $script remove --purge
