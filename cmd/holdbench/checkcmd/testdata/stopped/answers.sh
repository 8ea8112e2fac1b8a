# A controller that answers hello, reset and the first scan, and then does what its argument says.
read -r hello
echo '{"inputs":["trigger"]}'
for line in reset scan; do
  read -r $line
  echo '{}'
done
read -r scan
case "$1" in
dies) echo 'out of order' >&2; exit 7 ;;
late) exec sleep 60 ;;
lies) echo '{"outputs":{"drive":"fly"}}'; cat >/dev/null ;;
esac
