// Ranks rows by the spec book's own script, outside a page: {"script", "rows", "queries", "without"}
// on standard input, for each query the names in order on standard output.
import { readFileSync } from "node:fs";
import vm from "node:vm";

const { script, rows, queries, without } = JSON.parse(readFileSync(0, "utf8"));
const room = vm.createContext({});
vm.runInContext(`${readFileSync(script, "utf8")};this.answer = (rows, queries, without) => {
  const known = rows.map(prepared);
  return queries.map((query) => ranked(known, query, without)).map((told) => ({ all: told.all, names: told.rows.map((row) => row[1]) }));
};`, room);
console.log(JSON.stringify(room.answer(rows, queries, without)));
