// Reads a calendar from standard input with ical.js; prints its events as JSON.
// ical.js is the engine of Thunderbird and of Nextcloud's web pages (from memory).
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";

const ICAL = createRequire(process.argv[2] + "/")("ical.js").default ??
  createRequire(process.argv[2] + "/")("ical.js");
const calendar = new ICAL.Component(ICAL.parse(readFileSync(0, "utf8")));
const events = calendar.getAllSubcomponents("vevent").map((found) => {
  const event = new ICAL.Event(found);
  const moment = (time) => time.isDate ? time.toString() : time.toJSDate().toISOString();
  return {
    uid: event.uid,
    start: moment(event.startDate),
    end: moment(event.endDate),
    title: event.summary,
    description: event.description,
    url: found.getFirstPropertyValue("url"),
    zone: event.startDate.isDate ? null : event.startDate.zone.tzid,
    alarms: found.getAllSubcomponents("valarm").map((alarm) =>
      alarm.getFirstPropertyValue("trigger").toString()),
  };
});
process.stdout.write(JSON.stringify(events));
