// Asks the worker that judges traces, one promise for each question.
import { JudgingError } from "./errors.js";

/** Judges apart from the page. The arrays of a trace are handed over and are empty here afterwards. */
export class JudgingApart {
  #worker;
  #waiting = new Map();
  #asked = 0;

  /** @param {string | URL} [address] the worker's, where its name is not its own: that of one build of the program */
  constructor(address = new URL("./worker.js", import.meta.url)) {
    this.#worker = new Worker(address, { type: "module" });
    this.#worker.addEventListener("message", ({ data }) => this.#settle(data));
    this.#worker.addEventListener("error", (event) => this.#fail(event.message));
  }

  /**
   * @param {object} typeDocument an engine type document that the server has checked
   * @param {import("./trace.js").Trace} trace
   * @param {import("./units.js").Units} units
   * @returns {Promise<object>} the verdict document
   */
  judgeTrace(typeDocument, trace, units) {
    const arrays = [trace.times, ...Object.values(trace.channels)];
    return this.#ask({ typeDocument, units, trace }, [...new Set(arrays.map(({ buffer }) => buffer))]);
  }

  /**
   * @param {object} typeDocument an engine type document that the server has checked
   * @param {Blob} file as the recorder wrote it; it stays as it is
   * @param {import("./units.js").Units} units
   * @param {{name?: string, columns?: Record<string, string>, units?: Record<string, string>}} [given]
   * @returns {Promise<{verdict: object, curves: [number, number][][], matches: object[], unused: string[], ignored: object[], startedAt: string | null}>} with the curve of each excursion, its values turned outward
   */
  judgeFile(typeDocument, file, units, given) {
    return this.#ask({ typeDocument, units, file, given }, []);
  }

  /**
   * @param {object} typeDocument an engine type document that the server has checked
   * @param {Blob} file as the recorder wrote it; it stays as it is
   * @param {import("./units.js").Units} units
   * @param {{name?: string, columns?: Record<string, string>}} [given] headers remembered from other files
   * @returns {Promise<{headers: string[], columns: Record<string, string>, units: Record<string, string>}>}
   */
  columnsOf(typeDocument, file, units, given) {
    return this.#ask({ typeDocument, units, file, given, isLookOnly: true }, []);
  }

  /**
   * Get ready for a file that may come, by judging an invented run.
   * @param {object} typeDocument an engine type document that the server has checked
   * @param {import("./units.js").Units} units
   * @returns {Promise<void>}
   */
  async warm(typeDocument, units) {
    await this.#ask({ typeDocument, units, isWarmUp: true }, []);
  }

  #ask(job, handedOver) {
    const id = ++this.#asked;
    return new Promise((resolve, reject) => {
      this.#waiting.set(id, { resolve, reject });
      this.#worker.postMessage({ id, ...job }, handedOver);
    });
  }

  /** End the worker; what was not answered is refused. */
  close() {
    this.#worker.terminate();
    this.#fail("The judging was ended.");
  }

  #settle({ id, answer, refused }) {
    const { resolve, reject } = this.#waiting.get(id);
    this.#waiting.delete(id);
    if (refused) reject(new JudgingError(refused.code, refused.message));
    else resolve(answer);
  }

  #fail(message) {
    const waiting = [...this.#waiting.values()];
    this.#waiting.clear();
    for (const { reject } of waiting) reject(new JudgingError("refused", message || "The judging failed."));
  }
}
