// Refusals, each with a stable code and a sentence for people.

/** What cannot be judged; `code` as the server uses it, or `left_to_server` where only the phone cannot. */
export class JudgingError extends Error {
  /** @param {string} code @param {string} message */
  constructor(code, message) {
    super(message);
    this.name = "JudgingError";
    this.code = code;
  }
}
