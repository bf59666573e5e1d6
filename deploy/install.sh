#!/bin/sh
# Sets Duskfold up on Debian or Raspberry Pi OS, upgrades it, goes back, or removes it.
#   sudo deploy/install.sh            from this checkout; --help says what else there is
# Everything may be stopped at any moment and run again. Nothing is fetched but Debian's own
# python3-venv, where it is missing, and from PyPI what requirements.lock names, each by its hash.
# The program itself is never fetched: nobody could say by which hash.
set -eu

PROGRAMS=/opt/duskfold          # versions/N, each whole; `current` leads to one of them
DATA=/var/lib/duskfold
SETTINGS=/etc/duskfold
BACKUPS=/var/backups/duskfold
UNIT=/etc/systemd/system/duskfold.service
COMMAND=/usr/local/bin/duskfold
KEEPER=duskfold                 # the user it runs as
KEPT_BACKUPS=3
ANSWERS_WITHIN_S=90             # a small computer takes half a minute to start it

here=$(cd "$(dirname "$0")" && pwd)

say() { printf '%s\n' "$*"; }
fail() { printf 'install.sh: %s\n' "$*" >&2; exit 1; }
refuse() { printf 'install.sh: %s\n' "$*" >&2; exit 2; }

usage() {
    cat <<'TEXT'
install.sh [install]   sets Duskfold up and starts it
install.sh upgrade     puts a newer version in place; first it backs the data up
install.sh rollback    goes back to the version before
install.sh address     shows once more where to begin on the phone
install.sh remove      removes the program, and asks about the data

--from PATH     a checkout of Duskfold, or its wheel; without it the checkout that this script is in
--wheels DIR    take every package from this folder, without the network
--with-data     (rollback) also put the data back as it was before the upgrade
--purge         (remove) the data, its backups and the user as well, without asking
TEXT
}

# -- what was asked ---------------------------------------------------------------------------

what=
from=
wheels=
with_data=
purge=

read_arguments() {
    while [ $# -gt 0 ]; do
        case $1 in
            install | upgrade | rollback | remove | address)
                [ -z "$what" ] || refuse "found both $what and $1; one at a time"
                what=$1 ;;
            --from | --wheels)
                [ -n "${2:-}" ] || refuse "$1 needs a path behind it"
                if [ "$1" = --from ]; then from=$2; else wheels=$2; fi
                shift ;;
            --with-data) with_data=yes ;;
            --purge) purge=yes ;;
            -h | --help) usage; exit 0 ;;
            *) refuse "found \"$1\"; accepted: install, upgrade, rollback, address, remove, and what --help lists" ;;
        esac
        shift
    done
    what=${what:-install}
    case $what in
        install | upgrade) ;;
        *) [ -z "$from$wheels" ] || refuse "--from and --wheels go with install and upgrade, not with $what" ;;
    esac
    [ -z "$with_data" ] || [ "$what" = rollback ] || refuse "--with-data goes with rollback, not with $what"
    [ -z "$purge" ] || [ "$what" = remove ] || refuse "--purge goes with remove, not with $what"
    if [ -n "$wheels" ]; then
        [ -d "$wheels" ] || refuse "--wheels: $wheels is not a folder"
        wheels=$(cd "$wheels" && pwd)
    fi
    if [ -n "$from" ]; then
        { [ -d "$from" ] && [ -f "$from/pyproject.toml" ]; } || { [ -f "$from" ] && [ "${from%.whl}" != "$from" ]; } ||
            refuse "--from: $from is neither a checkout of Duskfold nor a wheel"
        from=$(cd "$(dirname "$from")" && pwd)/$(basename "$from")
    elif [ "$what" = install ] || [ "$what" = upgrade ]; then
        if [ -f "$here/../pyproject.toml" ]; then from=$(cd "$here/.." && pwd)
        elif [ "$what" = upgrade ] || ! is_installed; then
            refuse "this script is not in a checkout of Duskfold: say --from PATH"
        fi
    fi
}

# -- how things stand -------------------------------------------------------------------------

is_installed() { [ -f "$PROGRAMS/current/complete" ]; }
current() { basename "$(readlink "$PROGRAMS/current")"; }
systemd_runs() { [ -d /run/systemd/system ]; }

check_machine() {
    [ "$(id -u)" = 0 ] || refuse "only root can do that: sudo $0 $what"
    [ -f /etc/debian_version ] || refuse "this is not Debian or Raspberry Pi OS; deploy/README.md says how to do it by hand"
    # Two at once would build in the same folder.
    exec 9>/run/duskfold-install.lock
    flock -n 9 || fail "it is running already, somewhere else"
}

check_python() {
    if ! python3 -c 'import ensurepip, venv' 2>/dev/null; then
        [ -z "$wheels" ] || fail "Debian's package python3-venv is missing: apt-get install python3-venv"
        say "Installing Debian's python3-venv …"
        apt-get update -qq
        DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends python3-venv >/dev/null
    fi
    python3 -c 'import sys; sys.exit(sys.version_info < (3, 11))' ||
        fail "Duskfold needs Python 3.11 or newer, which comes with Debian 12 (bookworm); this is $(python3 --version)"
    [ "$(python3 -c 'import struct; print(struct.calcsize("P"))')" = 8 ] ||
        fail "this is a 32-bit system, for which not every package is there: install the 64-bit Raspberry Pi OS"
}

# A run of --with-data that was stopped between its two renames left the data beside its place; and
# the unit of a set-up by hand had its data where only root gets to it.
mend() {
    if [ -L "$DATA" ] && [ -d "/var/lib/private/${DATA##*/}" ]; then
        stop_service
        make_user
        chown -R "$KEEPER:$KEEPER" "/var/lib/private/${DATA##*/}"
        rm "$DATA"
        mv "/var/lib/private/${DATA##*/}" "$DATA"
    fi
    if [ ! -e "$DATA" ] && [ -d "$DATA.restored" ]; then
        mv "$DATA.restored" "$DATA"
    fi
    rm -rf "$DATA.restoring" "$DATA.replaced"
}

# -- one version ------------------------------------------------------------------------------

# Makes the next version whole, and prints its number.
build() {
    mkdir -p "$PROGRAMS/versions"
    last=0
    for each in "$PROGRAMS"/versions/*; do
        [ -d "$each" ] || continue
        number=$(basename "$each")
        if [ -f "$each/complete" ]; then
            [ "$number" -le "$last" ] || last=$number
        else
            rm -rf "$each"  # a run that was stopped left half of it
        fi
    done
    next=$((last + 1))
    folder=$PROGRAMS/versions/$next
    deploy=$here
    [ ! -d "${from:-/nowhere}/deploy" ] || deploy=$from/deploy

    python3 -m venv "$folder"
    # /etc/pip.conf of Raspberry Pi OS names a second index; everything is to come from the first.
    export PIP_CONFIG_FILE=/dev/null PIP_DISABLE_PIP_VERSION_CHECK=1 PIP_NO_INPUT=1 PIP_NO_CACHE_DIR=1 PIP_ROOT_USER_ACTION=ignore PIP_USE_PEP517=1
    [ -z "$wheels" ] || export PIP_NO_INDEX=1 PIP_FIND_LINKS="$wheels"
    # What comes as a source is made here by the tools of the locked set, and not by any other.
    awk '/^[a-z]/ { skip = /^psychrolib==/ } !skip' "$deploy/requirements.lock" >"$folder/wheels.lock"
    pip="$folder/bin/python -m pip install --quiet"
    $pip --require-hashes --only-binary=:all: -r "$folder/wheels.lock"
    $pip --require-hashes --no-build-isolation -r "$deploy/requirements.lock"
    $pip --no-deps --no-build-isolation "$from"

    mkdir "$folder/deploy"
    for each in install.sh duskfold.service requirements.lock README.md Caddyfile Caddyfile.home nginx.conf; do
        cp "$deploy/$each" "$folder/deploy/"
    done
    ! is_installed || current >"$folder/came-after"
    "$folder/bin/duskfold" --version >"$folder/version"
    : >"$folder/complete"
    say "$next" >&3
}

# The one moment in which another version is in place.
switch_to() {
    ln -sfn "versions/$1" "$PROGRAMS/.next"
    mv -T "$PROGRAMS/.next" "$PROGRAMS/current"
}

version_of() { head -n 1 "$PROGRAMS/versions/$1/version"; }

forget_old_versions() {
    keep=$(cat "$PROGRAMS/current/came-after" 2>/dev/null || true)
    for each in "$PROGRAMS"/versions/*; do
        number=$(basename "$each")
        [ "$number" = "$(current)" ] || [ "$number" = "$keep" ] || rm -rf "$each"
    done
}

# -- what stands around it --------------------------------------------------------------------

make_user() {
    id "$KEEPER" >/dev/null 2>&1 ||
        useradd --system --user-group --home-dir "$DATA" --no-create-home --shell /usr/sbin/nologin "$KEEPER"
}

# Replaces a file whole: whoever reads it meanwhile reads the old one.
put() {
    cat >"$1.new"
    chmod "$2" "$1.new"
    mv "$1.new" "$1"
}

make_surroundings() {
    make_user
    install -d -o "$KEEPER" -g "$KEEPER" -m 0700 "$DATA"
    mkdir -p "$(dirname "$UNIT")" "$(dirname "$COMMAND")"
    put "$UNIT" 0644 <"$PROGRAMS/current/deploy/duskfold.service"
    profile=
    if [ -f "$SETTINGS/duskfold.toml" ]; then  # of a set-up by hand
        profile=$SETTINGS/duskfold.toml
        mkdir -p "$UNIT.d"
        say "[Service]
Environment=DUSKFOLD_PROFILE=$profile" | put "$UNIT.d/profile.conf" 0644
    fi
    put "$COMMAND" 0755 <<TEXT
#!/bin/sh
# Runs Duskfold on the service's own data, as its user. Made by $PROGRAMS/current/deploy/install.sh
set -eu
program=$PROGRAMS/current/bin/duskfold
case \$(id -un) in
    root) cd $DATA && exec runuser -u $KEEPER -- "\$0" "\$@" ;;
    $KEEPER) cd $DATA && exec env DUSKFOLD_DATA=$DATA${profile:+ DUSKFOLD_PROFILE=$profile} "\$program" "\$@" ;;
    *) exec "\$program" "\$@" ;;
esac
TEXT
    # Where nothing runs yet, this still makes the link by which it starts with the machine.
    systemctl enable --quiet duskfold 2>/dev/null || say "Note: the service could not be enabled: systemctl enable duskfold"
}

stopped=

stop_service() {
    stopped=yes
    ! systemd_runs || systemctl stop duskfold 2>/dev/null || true
}

# Whatever ends this run in between, nobody is to be left without reminders.
at_the_end() {
    if [ -n "$stopped" ] && systemd_runs && is_installed; then systemctl start --no-block duskfold || true; fi
}

start_service() {
    stopped=
    if ! systemd_runs; then
        say "systemd is not running here (this is a container or a chroot), so Duskfold is set up and not started. It starts with the machine."
        return
    fi
    systemctl daemon-reload
    systemctl restart --no-block duskfold
}

show_address() {
    if ! systemd_runs; then
        say "Once it has started, this shows the address and the code to scan: sudo $PROGRAMS/current/deploy/install.sh address"
        return
    fi
    say "Waiting for Duskfold to answer …"
    waited=0
    while [ "$waited" -lt "$ANSWERS_WITHIN_S" ]; do
        run=$(systemctl show --property=InvocationID --value duskfold)
        # --all: the code to scan is drawn in signs that are left out otherwise.
        said=$(journalctl --quiet --all --no-pager --output=cat "_SYSTEMD_INVOCATION_ID=$run" 2>/dev/null || true)
        case $said in
            *http*://*)
                say "$said"
                return ;;
        esac
        sleep 1
        waited=$((waited + 1))
    done
    fail "Duskfold has not said in $ANSWERS_WITHIN_S s where its pages are. To see why: journalctl -u duskfold"
}

# -- the data ---------------------------------------------------------------------------------

# Everything that cannot be made again, while nothing writes to it.
back_up() {
    install -d -m 0700 "$BACKUPS"
    rm -f "$BACKUPS"/*.part
    umask_before=$(umask)
    umask 077
    backup=$BACKUPS/$1-$(date -u +%Y%m%dT%H%M%SZ).tar.gz
    paths=${DATA#/}
    [ ! -d "$SETTINGS" ] || paths="$paths ${SETTINGS#/}"
    # shellcheck disable=SC2086 # two paths of our own, without spaces
    tar --create --gzip --file "$backup.part" --directory / $paths
    sync "$backup.part"
    mv "$backup.part" "$backup"
    umask "$umask_before"
    say "The data is backed up: $backup"
    needed=$(cat "$PROGRAMS/current/backed-up" 2>/dev/null || true)
    # shellcheck disable=SC2012 # names of our own
    ls -1t "$BACKUPS"/*.tar.gz | tail -n "+$((KEPT_BACKUPS + 1))" | while read -r old; do
        [ "$old" = "$needed" ] || rm -f "$old"
    done
}

# Whether the program of that version can read the journal as it is now.
can_read_data() {
    [ -f "$DATA/journal.sqlite3" ] || return 0
    runuser -u "$KEEPER" -- "$PROGRAMS/versions/$1/bin/python" -P -c '
import sys
from pathlib import Path
from scheduler.journal.fault import JournalFault
from scheduler.journal.store import open_journal
try:
    open_journal(Path(sys.argv[1]), migrate=False).close()
except JournalFault as fault:
    sys.exit(str(fault))
' "$DATA/journal.sqlite3"
}

put_data_back() {
    rm -rf "$DATA.restoring" "$DATA.restored"
    mkdir -m 0700 "$DATA.restoring"
    tar --extract --gzip --same-owner --same-permissions --file "$1" --directory "$DATA.restoring" \
        --strip-components=3 "${DATA#/}"
    chown "$KEEPER:$KEEPER" "$DATA.restoring"
    mv "$DATA.restoring" "$DATA.restored"
    mv "$DATA" "$DATA.replaced"
    mv "$DATA.restored" "$DATA"
    rm -rf "$DATA.replaced"
}

# -- the five commands ------------------------------------------------------------------------

run_build() {
    say "Making the new version in $PROGRAMS; on a small computer this takes some minutes …"
    exec 3>"$PROGRAMS/.built"
    build
    exec 3>&-
    built=$(cat "$PROGRAMS/.built")
    rm -f "$PROGRAMS/.built"
}

do_install() {
    check_python
    mkdir -p "$PROGRAMS"
    if is_installed; then
        say "Duskfold is installed already ($(version_of "$(current)")). For a newer one: $0 upgrade"
    else
        run_build
        switch_to "$built"
    fi
    make_surroundings
    start_service
    say "Installed: $(version_of "$(current)")"
    show_address
}

do_upgrade() {
    is_installed || refuse "Duskfold is not installed yet: $0 install"
    if [ -f "$PROGRAMS/current/came-after" ] && [ ! -f "$PROGRAMS/current/settled" ]; then
        say "The upgrade before this one was stopped; it is finished now."
    else
        check_python
        run_build
        stop_service
        back_up "before-$built"
        say "$backup" >"$PROGRAMS/versions/$built/backed-up"
        switch_to "$built"
    fi
    make_surroundings
    start_service
    forget_old_versions
    : >"$PROGRAMS/current/settled"
    say "Upgraded: $(version_of "$(current)")"
    say "To go back: sudo $PROGRAMS/current/deploy/install.sh rollback"
    show_address
}

do_rollback() {
    is_installed || refuse "Duskfold is not installed"
    now=$(current)
    before=$(cat "$PROGRAMS/current/came-after" 2>/dev/null || true)
    [ -f "$PROGRAMS/versions/${before:-none}/complete" ] || refuse "there is no version before this one"
    backup=$(cat "$PROGRAMS/current/backed-up" 2>/dev/null || true)
    [ -z "$with_data" ] || [ -f "$backup" ] || refuse "there is no backup from before this version in $BACKUPS"
    if [ -z "$with_data" ] && ! can_read_data "$before"; then
        fail "the version before cannot read the data as it is now, so nothing was changed. To put the data back as it was before the upgrade, too: $0 rollback --with-data"
    fi
    stop_service
    before_it=$backup
    back_up "after-$now"
    [ -z "$with_data" ] || put_data_back "$before_it"
    switch_to "$before"
    make_surroundings
    start_service
    say "Back to: $(version_of "$before")"
    show_address
}

do_remove() {
    if [ -z "$purge" ] && [ -t 0 ] && [ -d "$DATA" ]; then
        printf 'Remove the data as well (%s: profile, diary, keys; and %s)? [y/N] ' "$DATA" "$BACKUPS"
        read -r answer || answer=
        case $answer in [Yy] | [Yy][Ee][Ss]) purge=yes ;; esac
    fi
    stop_service
    systemctl disable --quiet duskfold 2>/dev/null || true
    rm -rf "$UNIT" "$UNIT.d" "$COMMAND"
    ! systemd_runs || systemctl daemon-reload
    rm -rf "$PROGRAMS/current" "$PROGRAMS/versions" "$PROGRAMS/.next" "$PROGRAMS/.built"
    rmdir "$PROGRAMS" 2>/dev/null || true
    if [ -n "$purge" ]; then
        rm -rf "$DATA" "$BACKUPS" "$SETTINGS"
        ! id "$KEEPER" >/dev/null 2>&1 || userdel "$KEEPER"
        say "Duskfold and its data are removed."
    else
        say "Duskfold is removed. Its data is still in $DATA, its backups in $BACKUPS; to remove them, too: $0 remove --purge"
    fi
}

read_arguments "$@"
check_machine
trap at_the_end EXIT
trap 'exit 1' INT TERM HUP
mend
case $what in
    install) do_install ;;
    upgrade) do_upgrade ;;
    rollback) do_rollback ;;
    address) is_installed || refuse "Duskfold is not installed"; show_address ;;
    remove) do_remove ;;
esac
